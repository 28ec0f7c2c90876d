/** A phone of the first edition is opened for ever: see tests/first_edition/README.md. */

import { readFileSync } from "node:fs";
import { gunzipSync } from "node:zlib";
import { beforeEach, describe, expect, it } from "vitest";
import { fromBase64url } from "../../static/src/book/bytes";
import type { DeviceKey } from "../../static/src/book/jws";
import { verifies } from "../../static/src/book/jws";
import { Log, MemoryLogFile } from "../../static/src/store/log";
import { MemoryPhotoFiles } from "../../static/src/store/photo_files";
import { recover } from "../../static/src/store/recovery";
import { HttpApi } from "../../static/src/sync/api";
import { Phone } from "../../static/src/writer/phone";
import { bodyOf } from "./entries";
import { MemoryStorage } from "./memory_storage";

const FOLDER = `${import.meta.dirname}/../first_edition`;
const P256 = { name: "ECDSA", namedCurve: "P-256" } as const;
const expected = JSON.parse(readFileSync(`${FOLDER}/expected.json`, "utf-8"));
const stored = JSON.parse(gunzipSync(readFileSync(`${FOLDER}/phone.json.gz`)).toString());
const { clean, twisted } = expected.books;
const unsentOf = (slug: string): string[] =>
  expected.phone.unsent[slug].map((name: string) => expected.books[slug].named[name]);

let storage: MemoryStorage;
let file: MemoryLogFile;

beforeEach(async () => {
  storage = new MemoryStorage();
  file = new MemoryLogFile();
  file.bytes = new Uint8Array(readFileSync(`${FOLDER}/phone.log`));
  const { jwk, thumbprint, private_jwk } = stored.key;
  const privateKey = await crypto.subtle.importKey("jwk", { ...private_jwk }, P256, false, ["sign"]);
  const key: DeviceKey = { jwk, thumbprint, privateKey };
  // biome-ignore lint/suspicious/noExplicitAny: stored values are what the first edition wrote.
  const bytesOf = (blob: any) => ({ ...blob, bytes: fromBase64url(blob.bytes) });
  // biome-ignore lint/suspicious/noExplicitAny: stored values are what the first edition wrote.
  const books = stored.books.map((book: any) => ({
    ...book,
    frontier: { size: book.frontier.size, roots: book.frontier.roots.map(fromBase64url) },
  }));
  const { memberships, entries, procedures } = structuredClone(stored);
  await storage.put({ key, memberships, books, entries, blobs: stored.blobs.map(bytesOf), procedures });
});

async function started() {
  const photos = new MemoryPhotoFiles();
  for (const [name, text] of Object.entries<string>(stored.photos))
    photos.files.set(name, fromBase64url(text));
  const [now, tell] = [() => new Date(expected.made_at), () => undefined];
  const room = async () => Number.POSITIVE_INFINITY;
  const phone = new Phone({ storage, log: new Log(file), photos, api: new HttpApi(), tell, now, room });
  return { phone, snapshot: await phone.start(stored.high_water) };
}

describe("a phone of the first edition", () => {
  it("has again, in both stores, what either had lost", async () => {
    const { contents, recovery } = await recover(storage, new Log(file), stored.high_water);
    expect(recovery).toEqual({ restoredToDatabase: 1, restoredToLog: 1, lost: 0, newKey: false });
    const here = contents.entries.map(({ id }) => id);
    expect(here).toEqual(
      expect.arrayContaining([expected.phone.only_in_log, expected.phone.only_in_database]),
    );
    const again = await recover(storage, new Log(file), stored.high_water);
    expect(again.recovery).toEqual({ restoredToDatabase: 0, restoredToLog: 0, lost: 0, newKey: false });
  });

  it("knows its books, and has everything still to send", async () => {
    const { snapshot } = await started();
    expect(snapshot.memberships.map(({ book }) => book).sort()).toEqual([clean.book, twisted.book].sort());
    for (const status of snapshot.statuses) {
      const slug = status.book === clean.book ? "clean" : "twisted";
      const { size, root, epoch } = expected.phone.seen[slug];
      expect(status).toMatchObject({
        size,
        root,
        epoch,
        unsent: unsentOf(slug).length,
        refused: [],
        admitted: true,
      });
    }
  });

  it("has every entry that it had seen or made, word for word", async () => {
    const { snapshot } = await started();
    const jws = new Set(snapshot.entries.map((entry) => entry.jws));
    for (const entry of stored.entries) expect(jws).toContain(entry.jws);
    const ids = snapshot.entries.map(({ id }) => id);
    expect(ids).toEqual(expect.arrayContaining([...unsentOf("clean"), ...unsentOf("twisted")]));
  });

  it("gives out what is unsent in its order and as it was signed, high S or low, with its texts", async () => {
    const { phone } = await started();
    const before = gunzipSync(readFileSync(`${FOLDER}/phone.clean.unsent.jsonl.gz`))
      .toString()
      .trim()
      .split("\n");
    const now = (await phone.unsent(clean.book)).trim().split("\n");
    const entries = (lines: string[]) => lines.filter((line) => line.startsWith('{"entry"'));
    expect(entries(now)).toEqual(entries(before));
    expect([...now].sort()).toEqual([...before].sort());
    for (const line of entries(now))
      expect(await verifies(JSON.parse(line).entry, stored.key.jwk)).toBe(true);
  });

  it("has the words of both lost entries", async () => {
    const { phone, snapshot } = await started();
    for (const [id, words] of [
      [expected.phone.only_in_log, "Only the log"],
      [expected.phone.only_in_database, "Only the database"],
    ]) {
      const name = snapshot.entries.filter((entry) => entry.id === id).map(bodyOf)[0]?.note_blob ?? "";
      expect(JSON.parse((await phone.blob(clean.book, name)) ?? "{}").text).toBe(words);
    }
  });

  it("tells both books as it saw them whole", async () => {
    const { phone } = await started();
    for (const [slug, { book }] of [
      ["clean", clean],
      ["twisted", twisted],
    ] as const) {
      const told = gunzipSync(readFileSync(`${FOLDER}/phone.${slug}.witnessed.jsonl.gz`)).toString();
      const texts = (lines: string) => lines.split("\n").filter((line) => line.startsWith('{"entry"'));
      expect(texts(phone.witnessed(book) ?? "")).toEqual(texts(told));
    }
  });

  it("writes on under its old key, behind its last entry", async () => {
    const { phone, snapshot } = await started();
    const own = snapshot.entries.filter(
      ({ book, device }) => book === clean.book && device === stored.key.thumbprint,
    );
    const last = own.reduce((a, b) => (a.n > b.n ? a : b));
    const body = { plan: clean.named.plan, checks: ["A/bar/b1/level:true"], result: "ok", answers: [] };
    const entry = await phone.append(clean.book, "found", body);
    expect([entry.device, entry.n]).toEqual([stored.key.thumbprint, last.n + 1]);
    expect(await verifies(entry.jws, stored.key.jwk)).toBe(true);
  });
});
