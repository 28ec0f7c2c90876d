/** Turn JSON Schemas on standard input, by path, into formatted TypeScript on standard output. */

import { execFileSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { compile } from "json-schema-to-typescript";

const BIOME = fileURLToPath(import.meta.resolve("@biomejs/biome/bin/biome"));
const BANNER = "/** Made from the server's models by tests/vectors/make_shapes.py; not to be edited. */";
// The schemas have no root of their own: what stands for one goes again, and so does every word of it.
const ROOT = "Everything";
const EMPTY = /export interface Everything \{\s*\[k: string\]: unknown;?\s*\}\n/;
const REFERENCED = /( \* ?\n)? \* This interface was referenced by `Everything`'s JSON-Schema\n \* via the `definition` ".*"\.\n/g;
const SAID_NOTHING = /\/\*\*\n \*\/\n/g;
const OPTIONS = {
  additionalProperties: false,
  bannerComment: BANNER,
  format: false,
  unreachableDefinitions: true,
};

let given = "";
for await (const chunk of process.stdin) given += chunk;
const made = {};
for (const [path, schema] of Object.entries(JSON.parse(given))) {
  const text = (await compile(schema, ROOT, OPTIONS)).replace(EMPTY, "").replaceAll(REFERENCED, "").replaceAll(SAID_NOTHING, "");
  const formatted = ["format", `--stdin-file-path=src/${path}`];
  made[path] = execFileSync(process.execPath, [BIOME, ...formatted], { input: text, encoding: "utf-8" });
}
process.stdout.write(JSON.stringify(made));
