import { beforeEach, describe, expect, it } from "vitest";
import { at } from "../../static/src/book/must";
import { Log, MemoryLogFile } from "../../static/src/store/log";
import { MemoryPhotoFiles } from "../../static/src/store/photo_files";
import { Phone } from "../../static/src/writer/phone";
import type { Event } from "../../static/src/writer/protocol";
import { bodyOf } from "./entries";
import { MemoryStorage } from "./memory_storage";
import { BOOK, FakeServer } from "./server";

let server: FakeServer;
let storage: MemoryStorage;
let file: MemoryLogFile;
let events: Event[];

function makePhone(): Phone {
  const tell = (event: Event) => events.push(event);
  const now = () => new Date("2026-11-20T22:00:00Z");
  const room = async () => Number.POSITIVE_INFINITY;
  const photos = new MemoryPhotoFiles();
  return new Phone({ storage, log: new Log(file), photos, api: server, tell, now, room });
}

async function joined(): Promise<Phone> {
  const phone = makePhone();
  await phone.start({});
  await phone.join("token", server.owner.thumbprint, "Rosa");
  await phone.sync(BOOK);
  return phone;
}

function look(phone: Phone, check: string) {
  return phone.append(BOOK, "found", { plan: "p", checks: [check], result: "ok", answers: [] });
}

beforeEach(async () => {
  server = await FakeServer.open();
  storage = new MemoryStorage();
  file = new MemoryLogFile();
  events = [];
});

describe("a phone", () => {
  it("sends what it made and sees it under a checked head", async () => {
    const phone = await joined();
    await look(phone, "a");
    await look(phone, "b");
    const status = await phone.sync(BOOK);
    expect(status).toMatchObject({ size: 4, unsent: 0, sync: "idle", admitted: true, heldAtOffice: 2 });
    expect(server.entries).toHaveLength(4);
  });

  it("works on without network and loses nothing to lost replies", async () => {
    const phone = await joined();
    await look(phone, "a");
    server.troubles = ["down", "lost"];
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "offline", unsent: 1 });
    await look(phone, "b");
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "offline", unsent: 2 });
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "idle", unsent: 0 });
    expect(new Set(server.entries).size).toBe(server.entries.length);
  });

  it("halves a batch that is too large", async () => {
    const phone = await joined();
    for (const check of ["a", "b", "c", "d"]) await look(phone, check);
    server.troubles = ["413", "413"];
    expect(await phone.sync(BOOK)).toMatchObject({ unsent: 0, sync: "idle" });
  });

  it("reads on from a server without its key, says so, and sends when the key is back", async () => {
    const phone = await joined();
    await look(phone, "a");
    server.keyAway = true;
    await server.write("plan_set", { wall: "A" });
    expect(await phone.sync(BOOK)).toMatchObject({
      size: 3,
      unsent: 1,
      sync: "trouble",
      why: "no key. Put it back.",
    });
    expect(await phone.sync(BOOK)).toMatchObject({ unsent: 1, sync: "trouble" });
    server.keyAway = false;
    expect(await phone.sync(BOOK)).toMatchObject({ size: 4, unsent: 0, sync: "idle", why: "" });
  });

  it("shows a refused entry and sends the others", async () => {
    const phone = await joined();
    const bad = await look(phone, "a");
    await look(phone, "b");
    server.verdictFor.set(bad.jws, "refused");
    const status = await phone.sync(BOOK);
    expect(status.unsent).toBe(0);
    expect(status.refused.map((item) => item.id)).toEqual([bad.id]);
    expect(await phone.unsent(BOOK)).toBe(`${JSON.stringify({ entry: bad.jws })}\n`);
  });

  it("waits when it is not admitted, and keeps what is held", async () => {
    const phone = await joined();
    server.signedIn = false;
    const entry = await look(phone, "a");
    server.verdictFor.set(entry.jws, "held");
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "sign_in", held: 1, unsent: 0 });
    server.signedIn = true;
    server.verdictFor.clear();
    server.entries.push(entry.jws);
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "idle", held: 0, unsent: 0 });
  });

  it("stops at a book whose past was rewritten, and keeps everything", async () => {
    const phone = await joined();
    await look(phone, "a");
    await server.write("plan_set", { wall: "A" });
    server.entries[1] = at(server.entries, 2);
    const status = await phone.sync(BOOK);
    expect(status).toMatchObject({ sync: "forked", unsent: 1 });
    expect((await phone.sync(BOOK)).sync).toBe("forked");
  });

  it("stops at a book that got shorter", async () => {
    const phone = await joined();
    server.entries.pop();
    expect((await phone.sync(BOOK)).sync).toBe("lost");
  });

  it("sends nothing while it has stopped, and goes on when the book is whole again", async () => {
    const phone = await joined();
    const whole = [...server.entries];
    server.entries.pop();
    expect((await phone.sync(BOOK)).sync).toBe("lost");
    await look(phone, "a");
    server.troubles = ["down"];
    expect((await phone.sync(BOOK)).sync).toBe("lost");
    expect((await phone.sync(BOOK)).sync).toBe("lost");
    expect(server.lastSent).toEqual([]);
    server.entries = whole;
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "idle", unsent: 0, size: 3 });
  });

  it("keeps nothing of a page that no checked head covers", async () => {
    const phone = await joined();
    const before = (await storage.load()).entries.length;
    for (const wall of ["A", "B", "C", "D"]) await server.write("plan_set", { wall });
    server.troubles = [];
    const { head } = server;
    server.head = server.owner;
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "forked", size: 2 });
    expect((await storage.load()).entries).toHaveLength(before);
    server.head = head;
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "idle", size: 6 });
  });

  it("gives what it saw as an export file, and its unsent entries with their texts as lines", async () => {
    const phone = await joined();
    const body = { plan: "p", checks: ["a"], result: "fault", weight: "show", reason: "gap" };
    await phone.append(BOOK, "found", body, { note_blob: "2 mm" });
    const lines = (await phone.unsent(BOOK))
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(lines.map((line) => Object.keys(line))).toEqual([["entry"], ["blob", "data"]]);
    const book = phone
      .witnessed(BOOK)
      ?.trim()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(book).toEqual([
      { blobs: 0, book: BOOK, epoch: 1, seamwalk_export: 1, size: 2 },
      ...server.entries.map((entry) => ({ entry })),
      { head: expect.any(String) },
    ]);
  });

  it("does not join another owner's book", async () => {
    const phone = makePhone();
    await phone.start({});
    await expect(phone.join("token", "somebody else", "Rosa")).rejects.toThrow("another owner");
  });

  it("sends its notes after the entries", async () => {
    const phone = await joined();
    const body = { plan: "p", checks: ["a"], result: "fault", weight: "show", reason: "gap" };
    const entry = await phone.append(BOOK, "found", body, { note_blob: "2 mm" });
    await phone.sync(BOOK);
    const bytes = server.blobs.get(bodyOf(entry).note_blob ?? "");
    expect(JSON.parse(new TextDecoder().decode(bytes)).text).toBe("2 mm");
  });
});

describe("a phone that comes back", () => {
  it("has everything, sent or not", async () => {
    const phone = await joined();
    await look(phone, "a");
    await phone.sync(BOOK);
    await look(phone, "b");
    const snapshot = await makePhone().start({ [BOOK]: 2 });
    expect(snapshot.entries).toHaveLength(4);
    expect(snapshot.recovery).toEqual({ restoredToDatabase: 0, restoredToLog: 0, lost: 0, newKey: false });
  });

  it("rebuilds its database from the log, with a new key, and what it signed before is still sent", async () => {
    const before = await joined();
    await look(before, "a");
    storage = new MemoryStorage();
    const phone = makePhone();
    const snapshot = await phone.start({ [BOOK]: 1 });
    expect(snapshot.recovery).toEqual({ restoredToDatabase: 1, restoredToLog: 0, lost: 0, newKey: true });
    expect(await phone.sync(BOOK)).toMatchObject({ unsent: 0, admitted: false });
    await look(phone, "b");
    expect(await phone.unsent(BOOK)).toContain(".");
  });

  it("has the words that go with an entry again, whichever store was lost", async () => {
    const before = await joined();
    const body = { plan: "p", checks: ["a"], result: "fault", weight: "show", reason: "gap" };
    const { note_blob: name } = bodyOf(await before.append(BOOK, "found", body, { note_blob: "2 mm" }));
    for (const lose of ["database", "log", "database"]) {
      if (lose === "log") file = new MemoryLogFile();
      else storage = new MemoryStorage();
      const phone = makePhone();
      await phone.start({ [BOOK]: 1 });
      expect(JSON.parse((await phone.blob(BOOK, name ?? "")) ?? "").text, lose).toBe("2 mm");
    }
    const again = makePhone();
    await again.start({ [BOOK]: 1 });
    await again.join("token", server.owner.thumbprint, "Rosa");
    await again.sync(BOOK);
    expect(server.blobs.has(name ?? "")).toBe(true);
  });

  it("forgets words of old entries together with them, when its log is made shorter", async () => {
    const before = await joined();
    const log = new Log(file);
    const text = (n: number) => ({ kind: "text" as const, book: BOOK, sha256: `${n}`, data: "" });
    for (let n = 0; n < 5001; n++) log.append(text(n));
    const { note_blob: name } = bodyOf(
      await before.append(BOOK, "found", { checks: ["a"] }, { note_blob: "kept" }),
    );
    await makePhone().start({ [BOOK]: 1 });
    const texts = new Log(file).read().filter((record) => record.kind === "text");
    expect(texts.map((record) => record.kind === "text" && record.sha256)).toEqual([name]);
  });

  it("rebuilds its log from the database", async () => {
    const before = await joined();
    await look(before, "a");
    file = new MemoryLogFile();
    const snapshot = await makePhone().start({ [BOOK]: 1 });
    expect(snapshot.recovery).toEqual({ restoredToDatabase: 0, restoredToLog: 1, lost: 0, newKey: false });
    storage = new MemoryStorage();
    expect((await makePhone().start({ [BOOK]: 1 })).recovery.restoredToDatabase).toBe(1);
  });

  it("says how much is lost when both are gone", async () => {
    storage = new MemoryStorage();
    const snapshot = await makePhone().start({ [BOOK]: 3 });
    expect(snapshot.recovery.lost).toBe(3);
  });
});
