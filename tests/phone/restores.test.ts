/** A phone whose server came back from an older copy. */

import { beforeEach, describe, expect, it, vi } from "vitest";
import { makeDeviceKey } from "../../static/src/book/jws";
import { bodyOf } from "./entries";
import { BOOK, FakeServer } from "./server";
import { World } from "./world";

let server: FakeServer;
let world: World;

beforeEach(async () => {
  server = await FakeServer.open();
  world = new World(server);
  await world.start();
  await world.join();
});

describe("a phone behind a restore", () => {
  it("crosses when it had the same entries before, sends again what is missing, and keeps its old head", async () => {
    const note = { plan: "p", checks: ["a"], result: "fault", weight: "show", reason: "gap" };
    const entry = await world.phone.append(BOOK, "found", note, { note_blob: "2 mm" });
    await world.sync();
    await server.write("plan_set", { wall: "A" });
    await world.sync();
    const before = [...server.entries];
    const oldHead = (await world.storage.load()).books[0]?.head;
    await server.restore(2);
    server.blobs.clear();
    await world.look("b");
    expect(await world.sync()).toMatchObject({ sync: "idle", unsent: 0, size: 6, epoch: 2, restores: 1 });
    expect(server.entries.slice(3, 5)).toEqual(before.slice(2));
    expect(server.blobs.has(bodyOf(entry).note_blob ?? "")).toBe(true);
    expect((await world.storage.load()).books[0]?.oldHeads).toEqual([oldHead]);
    await world.start();
    expect([...world.show.entries.values()].map(({ index }) => index)).toEqual([0, 1, 2, 3, 4, 5]);
  });

  it("is killed right after it crossed, and still sends everything", async () => {
    await world.look("a");
    await world.sync();
    await server.restore(1);
    server.troubles = ["down"];
    await world.sync();
    server.signedIn = false;
    const cut = vi.spyOn(server, "sync");
    await world.sync();
    expect(cut.mock.calls.length).toBeGreaterThan(1);
    await world.start();
    server.signedIn = true;
    expect(await world.sync()).toMatchObject({ sync: "idle", unsent: 0, size: 4, epoch: 2 });
  });

  it("does not cross when it had other entries before the base", async () => {
    await world.look("a");
    await world.sync();
    server.entries.splice(2, 1);
    await server.write("plan_set", { wall: "B" });
    await server.restore(3);
    expect(await world.sync()).toMatchObject({ sync: "forked", size: 3 });
    await server.restore(4, 1);
    server.restores.shift();
    expect(await world.sync()).toMatchObject({ sync: "idle", unsent: 0, restores: 1 });
  });

  it("crosses anew, from its last head, when what it crossed to did not hold", async () => {
    await world.look("a");
    await world.sync();
    server.entries.splice(2, 1);
    for (const wall of ["B", "C"]) await server.write("plan_set", { wall });
    await server.restore(4);
    expect(await world.sync()).toMatchObject({ sync: "forked", root: null });
    expect((await world.sync()).sync).toBe("forked");
    await server.restore(5, 1);
    expect(await world.sync()).toMatchObject({ sync: "idle", unsent: 0, size: 7, restores: 1 });
  });

  it("sends again what was acknowledged and what no head covers", async () => {
    const entry = await world.look("a");
    server.signedIn = false;
    expect(await world.sync()).toMatchObject({ sync: "sign_in", unsent: 1 });
    server.entries.pop();
    server.signedIn = true;
    expect(await world.sync()).toMatchObject({ sync: "idle", unsent: 0, size: 3 });
    expect(server.entries[2]).toBe(entry.jws);
  });

  it("does not cross what somebody else than the owner signed", async () => {
    await server.restore(1, 1, await makeDeviceKey());
    const status = await world.sync();
    expect(status).toMatchObject({ sync: "forked", size: 2, epoch: 1 });
    expect(status.why).toContain("not signed by the owner");
  });

  it("never goes back to an epoch before", async () => {
    await server.restore(2);
    await world.sync();
    const restored = [...server.entries];
    await server.restore(2);
    await world.sync();
    [server.entries, server.epoch, server.restores] = [restored, 2, server.restores.slice(0, 1)];
    expect((await world.sync()).sync).toBe("forked");
  });
});
