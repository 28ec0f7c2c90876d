/** Bundle src/ into dist/: page, writer and service worker, their names holding their hashes. */

import { createHash } from "node:crypto";
import { cp, mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

const HERE = dirname(fileURLToPath(import.meta.url));
const SRC = join(HERE, "src");
const DIST = join(HERE, "dist");
const MAX_TRANSFER_BYTES = 150_000;

/** A catalogue that lies in texts/ and that nobody registered would show English without a word. */
async function needRegisteredCatalogues() {
  const index = await readFile(join(SRC, "texts", "index.ts"), "utf-8");
  const files = (await readdir(join(SRC, "texts"))).filter((name) => name.endsWith(".json"));
  for (const code of files.map((name) => name.replace(".json", ""))) {
    const named = [`from "./${code}.json"`, `  ${code}: "`].filter((line) => !index.includes(line));
    if (named.length > 0)
      throw new Error(`texts/${code}.json is not registered in texts/index.ts: ${named.join(", ")}`);
  }
}

await needRegisteredCatalogues();

async function bundle(entry, define, extra = {}) {
  const { outputFiles } = await build({
    entryPoints: [join(SRC, entry)],
    bundle: true,
    minify: true,
    format: "iife",
    target: "es2022",
    jsx: "automatic",
    jsxImportSource: "preact",
    define,
    write: false,
    outdir: DIST,
    legalComments: "none",
    ...extra,
  });
  return outputFiles;
}

function named(name, contents) {
  const hash = createHash("sha256").update(contents).digest("hex").slice(0, 12);
  const [stem, extension] = name.split(/\.(?=[^.]+$)/);
  return { name: `${stem}-${hash}.${extension}`, contents };
}

function text(value) {
  return JSON.stringify(value);
}

const wasmFile = join(HERE, "node_modules", "zxing-wasm", "dist", "reader", "zxing_reader.wasm");
const wasm = named("zxing.wasm", await readFile(wasmFile));
const [scanFile] = await bundle("scan/zxing_worker.ts", { WASM_URL: text(`/dist/${wasm.name}`) });
const scan = named("scan.js", scanFile.contents);
const SCAN_WORKER_URL = text(`/dist/${scan.name}`);
const scanning = { SCAN_WORKER_URL, WASM_URL: text(`/dist/${wasm.name}`) };
const unnamed = { BUILD: text(""), WRITER_URL: text(""), PRECACHE: "[]", ...scanning };
const sources = await bundle("writer/writer.ts", unnamed);
const page0 = await bundle("main.tsx", unnamed);
const begin0 = await bundle("writer/begin.ts", unnamed);
const everything = [...sources, ...page0, ...begin0].map((file) => file.contents);
const build_ = createHash("sha256").update(Buffer.concat(everything)).digest("hex").slice(0, 8);

const [writerFile] = await bundle("writer/writer.ts", { BUILD: text(build_) });
const writer = named("writer.js", writerFile.contents);
const WRITER_URL = text(`/dist/${writer.name}`);
const [beginFile] = await bundle("writer/begin.ts", { WRITER_URL });
const begin = named("begin.js", beginFile.contents);
const pageFiles = await bundle("main.tsx", { BUILD: text(build_), ...scanning });
const script = named("page.js", pageFiles.find((file) => file.path.endsWith(".js")).contents);
const style = named("page.css", pageFiles.find((file) => file.path.endsWith(".css")).contents);
const template = await readFile(join(SRC, "index.html"), "utf8");
const shell = Object.entries({ begin, script, style }).reduce(
  (html, [hole, { name }]) => html.replace(`{{${hole}}}`, name),
  template,
);
const icons = ["icon-192.png", "icon-512.png", "icon.svg"];
const precache = [
  "/phone/",
  "/phone/manifest.webmanifest",
  ...[begin, script, style, writer].map(({ name }) => `/dist/${name}`),
  ...icons.map((name) => `/dist/${name}`),
];
const LAZY = text([scan, wasm].map(({ name }) => `/dist/${name}`));
const [workerFile] = await bundle("sw.ts", { BUILD: text(build_), PRECACHE: text(precache), LAZY });

const [officeFile] = await bundle("office/office.ts", {});

await rm(DIST, { recursive: true, force: true });
await mkdir(DIST, { recursive: true });
for (const { name, contents } of [begin, script, style, writer, scan, wasm])
  await writeFile(join(DIST, name), contents);
await writeFile(join(DIST, "index.html"), shell);
await writeFile(join(DIST, "sw.js"), workerFile.contents);
await writeFile(join(DIST, "office.js"), officeFile.contents);
await cp(join(SRC, "manifest.webmanifest"), join(DIST, "manifest.webmanifest"));
for (const icon of icons) await cp(join(SRC, "icons", icon), join(DIST, icon));
const files = [begin, script, style, writer, scan, wasm].map(({ name }) => name);
await writeFile(join(DIST, "build.json"), JSON.stringify({ build: build_, shell: "index.html", files }));

const loads = {
  shell,
  [begin.name]: begin.contents,
  [script.name]: script.contents,
  [style.name]: style.contents,
  [writer.name]: writer.contents,
};
const sizes = Object.entries({ ...loads, "sw.js": workerFile.contents }).map(([name, contents]) => [
  name,
  gzipSync(contents).length,
]);
const total = sizes.reduce((sum, [, size]) => sum + size, 0);
console.log(
  `build ${build_}: ${sizes.map(([name, size]) => `${name} ${size}`).join(", ")}; first load ${total} bytes`,
);
if (total > MAX_TRANSFER_BYTES) throw new Error(`first load: ${total} bytes are over ${MAX_TRANSFER_BYTES}`);
