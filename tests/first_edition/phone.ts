/**
 * The phone's own code, run by Node for the script that made the fixture: one JSON command a line, one answer a line.
 * Runs only under the first edition's code.
 */

import { createInterface } from "node:readline";
import { type Bytes, base64url } from "../../static/src/book/bytes";
import { publicMembers, thumbprint } from "../../static/src/book/jws";
import { Log, MemoryLogFile } from "../../static/src/store/log";
import { MemoryPhotoFiles } from "../../static/src/store/photo_files";
import { HttpApi } from "../../static/src/sync/api";
import { Phone } from "../../static/src/writer/phone";
import { MemoryStorage } from "../phone/memory_storage";

const server = process.argv[2];
const ORDER = 0xffffffff00000000ffffffffffffffffbce6faada7179e84f3b9cac2fc632551n;
const P256 = { name: "ECDSA", namedCurve: "P-256" } as const;
let cookie = "";
let wantHighS: boolean | null = null;
let now = new Date();
const highWater: Record<string, number> = {};

const plainFetch = globalThis.fetch;
globalThis.fetch = async (path, init) => {
  const headers = { ...(init?.headers as Record<string, string>), Cookie: cookie };
  const response = await plainFetch(`${server}${path}`, { ...init, headers });
  for (const set of response.headers.getSetCookie()) cookie = set.split(";")[0] ?? "";
  return response;
};

/** WebCrypto makes either form; sign again until it is the one that was asked for. */
const plainSign = crypto.subtle.sign.bind(crypto.subtle);
crypto.subtle.sign = async (...given) => {
  for (;;) {
    const signature = await plainSign(...given);
    const s = BigInt(`0x${Buffer.from(signature).subarray(32).toString("hex")}`);
    if (wantHighS === null || s > ORDER / 2n === wantHighS) return signature;
  }
};

const storage = new MemoryStorage();
const file = new MemoryLogFile();
const photos = new MemoryPhotoFiles();
const pair = await crypto.subtle.generateKey(P256, true, ["sign", "verify"]);
const jwk = publicMembers(await crypto.subtle.exportKey("jwk", pair.publicKey));
const key = { privateKey: pair.privateKey, jwk, thumbprint: await thumbprint(jwk) };
await storage.put({ key });
const phone = new Phone({
  storage,
  log: new Log(file),
  photos,
  api: new HttpApi(),
  tell: (event) => {
    if (event.tell === "high_water") highWater[event.book] = event.n;
  },
  now: () => now,
  room: async () => Number.POSITIVE_INFINITY,
});
await phone.start({});

// biome-ignore lint/suspicious/noExplicitAny: one command a line, each with its own members.
async function answer(command: any): Promise<unknown> {
  now = new Date(command.at);
  wantHighS = command.high_s ?? null;
  if (command.do === "join") return phone.join(command.token, command.owner, command.name);
  if (command.do === "sync") return phone.sync(command.book);
  if (command.do === "append")
    return phone.append(command.book, command.type, command.body, command.notes ?? {});
  if (command.do === "photo")
    return phone.keepPhoto(command.book, Buffer.from(command.bytes, "base64url") as unknown as Bytes);
  if (command.do === "unsent") return phone.unsent(command.book);
  if (command.do === "witnessed") return phone.witnessed(command.book);
  return dump();
}

async function dump(): Promise<unknown> {
  const { memberships, books, entries } = await storage.load();
  const kept = (storage as unknown as { blobs: Map<string, { bytes: Bytes }> }).blobs;
  return {
    key: {
      jwk,
      thumbprint: key.thumbprint,
      private_jwk: await crypto.subtle.exportKey("jwk", pair.privateKey),
    },
    memberships,
    books: books.map((book) => ({
      ...book,
      frontier: { size: book.frontier.size, roots: book.frontier.roots.map(base64url) },
    })),
    entries,
    blobs: [...kept.values()].map((blob) => ({ ...blob, bytes: base64url(blob.bytes) })),
    procedures: await storage.procedures(),
    photos: Object.fromEntries([...photos.files].map(([name, bytes]) => [name, base64url(bytes)])),
    high_water: highWater,
    log: base64url(file.bytes),
  };
}

for await (const line of createInterface({ input: process.stdin })) {
  let told: unknown;
  try {
    told = { ok: await answer(JSON.parse(line)) };
  } catch (error) {
    told = { error: String(error) };
  }
  process.stdout.write(`${JSON.stringify(told)}\n`);
}
