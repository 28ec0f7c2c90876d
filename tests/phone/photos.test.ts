/** Photos on the phone: kept and read back, sent after everything else, in parts that go on where they stopped. */

import "fake-indexeddb/auto";
import { openDB } from "idb";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { hex, sha256, utf8 } from "../../static/src/book/bytes";
import { DATABASE, IndexedDbStorage } from "../../static/src/store/indexeddb";
import { Log, MemoryLogFile } from "../../static/src/store/log";
import { MemoryPhotoFiles } from "../../static/src/store/photo_files";
import { HttpApi, NoAnswer } from "../../static/src/sync/api";
import { Phone } from "../../static/src/writer/phone";
import { bodyOf } from "./entries";
import { MemoryStorage } from "./memory_storage";
import { BOOK, FakeServer } from "./server";

const JPEG = [0xff, 0xd8, 0xff];
const PHOTO = Uint8Array.from({ length: 200_000 }, (_, i) => JPEG[i] ?? (i * 7919) % 251);

async function joined(
  server: FakeServer,
  storage = new MemoryStorage(),
  room = async () => Number.POSITIVE_INFINITY,
  photos = new MemoryPhotoFiles(),
): Promise<Phone> {
  const log = new Log(new MemoryLogFile());
  const around = { storage, log, photos, api: server, tell: () => undefined, now: () => new Date(0), room };
  const phone = new Phone(around);
  await phone.start({});
  await phone.join("token", server.owner.thumbprint, "Rosa");
  await phone.sync(BOOK);
  return phone;
}

function found(phone: Phone, more: object) {
  return phone.append(BOOK, "found", { plan: "p", checks: ["a"], result: "ok", answers: [], ...more });
}

describe("a photo", () => {
  it("is named by its bytes, sent at the next sync, and fetched by nobody who did not ask", async () => {
    const server = await FakeServer.open();
    const phone = await joined(server);
    const name = await phone.keepPhoto(BOOK, PHOTO);
    expect(name).toBe(hex(await sha256(PHOTO)));
    await found(phone, { photo_blobs: [name] });
    await phone.sync(BOOK);
    expect(server.blobs.get(name)).toEqual(PHOTO);
    const asked = vi.spyOn(server, "getBlob");
    const other = await joined(server);
    await other.sync(BOOK);
    expect(asked.mock.calls.map(([, blob]) => blob)).not.toContain(name);
    expect(await other.bytes(BOOK, name)).toEqual(PHOTO);
  });

  it("outlives a database that vanished, and its file goes when the server has it", async () => {
    const server = await FakeServer.open();
    const photos = new MemoryPhotoFiles();
    const room = async () => Number.POSITIVE_INFINITY;
    const name = await (await joined(server, new MemoryStorage(), room, photos)).keepPhoto(BOOK, PHOTO);
    await photos.keep({ book: BOOK, sha256: "torn" }, PHOTO.slice(0, 100));
    const phone = await joined(server, new MemoryStorage(), room, photos);
    await phone.sync(BOOK);
    expect(server.blobs.get(name)).toEqual(PHOTO);
    expect(server.blobs.has("torn")).toBe(false);
    expect([...photos.files.keys()]).toEqual([`${BOOK}.torn`]);
  });

  it("that does not come back as it was given is not kept silently", async () => {
    const storage = new MemoryStorage();
    const phone = await joined(await FakeServer.open(), storage);
    vi.spyOn(storage, "blob").mockResolvedValue(undefined);
    await expect(phone.keepPhoto(BOOK, PHOTO)).rejects.toThrow("error.photo_lost");
  });

  it("is refused before entries are, and those that the server has make room first", async () => {
    const server = await FakeServer.open();
    const storage = new MemoryStorage();
    const dropped: number[] = [];
    const drop = storage.dropSentPhotos.bind(storage);
    vi.spyOn(storage, "dropSentPhotos").mockImplementation(async () => {
      dropped.push(await drop());
      return 0;
    });
    let free = 21_000_000;
    const phone = await joined(server, storage, async () => free);
    const first = await phone.keepPhoto(BOOK, PHOTO);
    await phone.sync(BOOK);
    free = 20_100_000;
    await expect(phone.keepPhoto(BOOK, Uint8Array.of(1))).resolves.toBeDefined();
    await expect(phone.keepPhoto(BOOK, PHOTO.slice(1))).rejects.toThrow("error.photo_full");
    expect(dropped).toEqual([1]);
    expect(await storage.blob(BOOK, first)).toBeUndefined();
    expect(await phone.bytes(BOOK, first)).toEqual(PHOTO);
    expect((await found(phone, {})).n).toBe(1);
  });

  it("leaves words and paper where an entry names them", async () => {
    const server = await FakeServer.open();
    const phone = await joined(server);
    const entry = await phone.append(
      BOOK,
      "procedure_walked",
      { procedure: "incident", paper: { at: "2026-11-20T22:00Z" } },
      { "text_blobs.what": "It fell", "paper.by_blob": "Tom" },
    );
    const { paper, text_blobs } = bodyOf(entry);
    expect(paper?.at).toBe("2026-11-20T22:00Z");
    expect(JSON.parse((await phone.blob(BOOK, text_blobs?.what ?? "")) ?? "").text).toBe("It fell");
    expect(JSON.parse((await phone.blob(BOOK, paper?.by_blob ?? "")) ?? "").text).toBe("Tom");
  });
});

describe("in parts", () => {
  let kept: Uint8Array;
  let calls: string[];
  let fails: number;

  beforeEach(() => {
    kept = new Uint8Array();
    calls = [];
    fails = 0;
    vi.stubGlobal("fetch", async (url: string, init: RequestInit) => {
      calls.push(`${init.method} ${url.replace(/.*blobs\//, "")}`);
      if (fails > 0 && init.method === "PUT" && --fails === 0) throw new TypeError("no network");
      const { body } = init;
      if (body instanceof Uint8Array) kept = Uint8Array.from([...kept, ...body]);
      return Response.json({ seamwalk: 1, received: kept.length, whole: kept.length === PHOTO.length });
    });
  });
  afterEach(() => vi.unstubAllGlobals());

  it("a photo goes on where the network was lost", async () => {
    const api = new HttpApi();
    fails = 3;
    await expect(api.putBlob(BOOK, "x", PHOTO)).rejects.toBeInstanceOf(NoAnswer);
    expect(kept.length).toBe(128_000);
    await api.putBlob(BOOK, "x", PHOTO);
    expect(kept).toEqual(PHOTO);
    expect(calls.filter((call) => call.startsWith("PUT"))).toEqual(
      [0, 64_000, 128_000, 128_000, 192_000].map((at) => `PUT x/part?at=${at}&total=200000`),
    );
  });

  it("a note goes whole", async () => {
    await new HttpApi().putBlob(BOOK, "x", utf8("a note"));
    expect(calls).toEqual(["PUT x"]);
  });
});

describe("the database of an older build", () => {
  it("is brought up with what was unsent in it", async () => {
    const old = await openDB(DATABASE, 1, {
      upgrade(db) {
        db.createObjectStore("entries", { keyPath: ["book", "id"] });
        db.createObjectStore("books", { keyPath: "book" });
        db.createObjectStore("memberships", { keyPath: "book" });
        db.createObjectStore("blobs", { keyPath: ["book", "sha256"] });
        db.createObjectStore("single");
      },
    });
    await old.put("blobs", { book: BOOK, sha256: "a", bytes: utf8("x"), unsent: true });
    await old.put("blobs", { book: BOOK, sha256: "b", bytes: utf8("y"), unsent: false });
    old.close();
    const storage = new IndexedDbStorage();
    expect((await storage.unsentBlobs(BOOK)).map(({ sha256: name }) => name)).toEqual(["a"]);
    expect((await storage.blob(BOOK, "b"))?.bytes).toEqual(utf8("y"));
  });

  it("gives the small ones out first", async () => {
    const storage = new IndexedDbStorage();
    const blob = { book: "b2", unsent: true };
    await storage.put({
      blobs: [
        { ...blob, sha256: "p", bytes: PHOTO },
        { ...blob, sha256: "n", bytes: utf8("x") },
      ],
    });
    expect((await storage.unsentBlobs("b2")).map(({ sha256: name }) => name)).toEqual(["n", "p"]);
  });
});
