import { beforeEach, describe, expect, it, vi } from "vitest";
import { makeDeviceKey } from "../../static/src/book/jws";
import { Log, MemoryLogFile } from "../../static/src/store/log";
import { MemoryPhotoFiles } from "../../static/src/store/photo_files";
import { MemoryStorage } from "../../static/src/store/storage";
import { Phone } from "../../static/src/writer/phone";
import type { Event } from "../../static/src/writer/protocol";
import { BOOK, FakeServer } from "./server";
import { bodyOf } from "./entries";

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
    server.entries[1] = server.entries[2] as string;
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

describe("a phone behind a restore", () => {
  it("crosses when it had the same entries before, sends again what is missing, and keeps its old head", async () => {
    const phone = await joined();
    const note = { plan: "p", checks: ["a"], result: "fault", weight: "show", reason: "gap" };
    const entry = await phone.append(BOOK, "found", note, { note_blob: "2 mm" });
    await phone.sync(BOOK);
    await server.write("plan_set", { wall: "A" });
    await phone.sync(BOOK);
    const before = [...server.entries];
    const oldHead = (await storage.load()).books[0]?.head;
    await server.restore(2);
    server.blobs.clear();
    await look(phone, "b");
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "idle", unsent: 0, size: 6, epoch: 2, restores: 1 });
    expect(server.entries.slice(3, 5)).toEqual(before.slice(2));
    expect(server.blobs.has(bodyOf(entry).note_blob ?? "")).toBe(true);
    expect((await storage.load()).books[0]?.oldHeads).toEqual([oldHead]);
    const snapshot = await makePhone().start({ [BOOK]: 2 });
    expect(snapshot.entries.map((item) => item.index)).toEqual([0, 1, 2, 3, 4, 5]);
  });

  it("is killed right after it crossed, and still sends everything", async () => {
    const phone = await joined();
    await look(phone, "a");
    await phone.sync(BOOK);
    await server.restore(1);
    server.troubles = ["down"];
    await phone.sync(BOOK);
    server.signedIn = false;
    const cut = vi.spyOn(server, "sync");
    await phone.sync(BOOK);
    expect(cut.mock.calls.length).toBeGreaterThan(1);
    const again = makePhone();
    await again.start({ [BOOK]: 1 });
    server.signedIn = true;
    expect(await again.sync(BOOK)).toMatchObject({ sync: "idle", unsent: 0, size: 4, epoch: 2 });
  });

  it("does not cross when it had other entries before the base", async () => {
    const phone = await joined();
    await look(phone, "a");
    await phone.sync(BOOK);
    server.entries.splice(2, 1);
    await server.write("plan_set", { wall: "B" });
    await server.restore(3);
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "forked", size: 3 });
    await server.restore(4, 1);
    server.restores.shift();
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "idle", unsent: 0, restores: 1 });
  });

  it("crosses anew, from its last head, when what it crossed to did not hold", async () => {
    const phone = await joined();
    await look(phone, "a");
    await phone.sync(BOOK);
    server.entries.splice(2, 1);
    for (const wall of ["B", "C"]) await server.write("plan_set", { wall });
    await server.restore(4);
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "forked", root: null });
    expect((await phone.sync(BOOK)).sync).toBe("forked");
    await server.restore(5, 1);
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "idle", unsent: 0, size: 7, restores: 1 });
  });

  it("sends again what was acknowledged and what no head covers", async () => {
    const phone = await joined();
    const entry = await look(phone, "a");
    server.signedIn = false;
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "sign_in", unsent: 1 });
    server.entries.pop();
    server.signedIn = true;
    expect(await phone.sync(BOOK)).toMatchObject({ sync: "idle", unsent: 0, size: 3 });
    expect(server.entries[2]).toBe(entry.jws);
  });

  it("does not cross what somebody else than the owner signed", async () => {
    const phone = await joined();
    await server.restore(1, 1, await makeDeviceKey());
    const status = await phone.sync(BOOK);
    expect(status).toMatchObject({ sync: "forked", size: 2, epoch: 1 });
    expect(status.why).toContain("not signed by the owner");
  });

  it("never goes back to an epoch before", async () => {
    const phone = await joined();
    await server.restore(2);
    await phone.sync(BOOK);
    const restored = [...server.entries];
    await server.restore(2);
    await phone.sync(BOOK);
    [server.entries, server.epoch, server.restores] = [restored, 2, server.restores.slice(0, 1)];
    expect((await phone.sync(BOOK)).sync).toBe("forked");
  });
});
