import { at } from "../../static/src/book/must";
import "fake-indexeddb/auto";
import { beforeEach, describe, expect, it } from "vitest";
import { utf8 } from "../../static/src/book/bytes";
import { makeDeviceKey } from "../../static/src/book/jws";
import { DATABASE, IndexedDbStorage } from "../../static/src/store/indexeddb";
import { crc32, frame, Log, MemoryLogFile, unframe } from "../../static/src/store/log";
import type { Storage } from "../../static/src/store/storage";
import { MemoryStorage } from "./memory_storage";

const BOOK = "b0000000000000001";
const ENTRY = { book: BOOK, id: "1", jws: "a.b.c", index: null, mine: true, sending: "unsent" as const };
const RECORD = { kind: "entry" as const, book: BOOK, jws: "a.b.c" };

const kinds: [string, () => Storage][] = [
  ["memory", () => new MemoryStorage()],
  ["IndexedDB", () => new IndexedDbStorage()],
];

describe.each(kinds)("storage in %s", (_name, make) => {
  let storage: Storage;
  beforeEach(async () => {
    if (_name === "IndexedDB") {
      await new Promise((done) => {
        indexedDB.deleteDatabase(DATABASE).onsuccess = done;
      });
    }
    storage = make();
  });

  it("starts empty", async () => {
    expect(await storage.load()).toEqual({ key: null, memberships: [], books: [], entries: [], leaves: [] });
    expect(await storage.procedures()).toBeNull();
    expect(await storage.blob(BOOK, "x")).toBeUndefined();
  });

  it("keeps entries by book and id, the newer over the older", async () => {
    await storage.put({ entries: [ENTRY] });
    await storage.put({
      entries: [
        { ...ENTRY, index: 4, sending: "seen" },
        { ...ENTRY, book: "b2" },
      ],
    });
    const { entries } = await storage.load();
    expect(entries.map(({ book, index }) => [book, index])).toEqual([
      [BOOK, 4],
      ["b2", null],
    ]);
  });

  it("takes entries out and puts others in at once", async () => {
    await storage.put({ entries: [ENTRY, { ...ENTRY, id: "2" }] });
    await storage.put({
      gone: [
        { book: BOOK, id: "1" },
        { book: BOOK, id: "2" },
      ],
      entries: [{ ...ENTRY, id: "2", index: 7 }],
    });
    expect((await storage.load()).entries.map(({ id, index }) => [id, index])).toEqual([["2", 7]]);
  });

  it("keeps a bare leaf until its text takes its place", async () => {
    const leaf = { book: BOOK, id: "1", index: 3, role: "client" };
    await storage.put({ leaves: [leaf], entries: [{ ...ENTRY, id: "2" }] });
    const { entries, leaves } = await storage.load();
    expect([entries.map(({ id }) => id), leaves]).toEqual([["2"], [leaf]]);
    await storage.put({ entries: [ENTRY] });
    expect((await storage.load()).leaves).toEqual([]);
  });

  it("keeps a key that signs after it was loaded", async () => {
    const key = await makeDeviceKey();
    if (_name === "memory") await storage.put({ key });
    else await storage.put({ procedures: "{}" });
    const loaded = await storage.load();
    expect(loaded.key?.thumbprint).toBe(_name === "memory" ? key.thumbprint : undefined);
  });

  it("tells unsent blobs of one book", async () => {
    const blob = { book: BOOK, sha256: "a", bytes: utf8("x"), unsent: true };
    await storage.put({ blobs: [blob, { ...blob, sha256: "b", unsent: false }, { ...blob, book: "b2" }] });
    expect((await storage.unsentBlobs(BOOK)).map((item) => item.sha256)).toEqual(["a"]);
    expect((await storage.blob(BOOK, "b"))?.unsent).toBe(false);
  });

  it("forgets photos that were sent, and nothing else", async () => {
    const blob = { book: BOOK, bytes: utf8("x"), unsent: false };
    const photo = { ...blob, photo: true as const };
    await storage.put({
      blobs: [
        { ...blob, sha256: "note" },
        { ...photo, sha256: "sent" },
      ],
    });
    await storage.put({ blobs: [{ ...photo, sha256: "unsent", unsent: true }] });
    expect(await storage.dropSentPhotos()).toBe(1);
    expect(await storage.blob(BOOK, "sent")).toBeUndefined();
    for (const kept of ["note", "unsent"]) expect(await storage.blob(BOOK, kept)).toBeDefined();
    expect(await storage.dropSentPhotos()).toBe(0);
  });
});

describe("the log", () => {
  it("has the CRC-32 of its standard", () => {
    // Source: check value of CRC-32/ISO-HDLC for "123456789", from memory.
    expect(crc32(utf8("123456789"))).toBe(0xcbf43926);
  });

  it("gives back every whole record, wherever the end was torn", () => {
    const whole = frame(RECORD);
    const file = new MemoryLogFile();
    new Log(file).append(RECORD);
    new Log(file).append(RECORD);
    const both = file.bytes;
    for (let cut = 0; cut <= both.length; cut++) {
      const torn = new MemoryLogFile();
      torn.bytes = both.slice(0, cut);
      const log = new Log(torn);
      const kept = Math.floor(cut / whole.length);
      expect(log.read()).toHaveLength(kept);
      log.append(RECORD);
      expect(log.read()).toHaveLength(kept + 1);
    }
  });

  it("stops at a flipped byte", () => {
    const bytes = frame(RECORD);
    for (let i = 8; i < bytes.length; i++) {
      const flipped = bytes.slice();
      flipped[i] = at(flipped, i) ^ 1;
      expect(unframe(flipped).records).toEqual([]);
    }
  });
});
