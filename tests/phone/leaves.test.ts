import { beforeEach, describe, expect, it } from "vitest";
import { fromUtf8, hex, sha256, utf8 } from "../../static/src/book/bytes";
import { entryId } from "../../static/src/book/entry";
import { otherForm, split } from "../../static/src/book/jws";
import { at, must } from "../../static/src/book/must";
import type { SyncResponse } from "../../static/src/sync/messages";
import { Show } from "../../static/src/walk/show/show";
import { BOOK, FakeServer } from "./server";
import { World } from "./world";

let server: FakeServer;
let world: World;

/** Entries of these types are nothing for the phone's role. */
function hides(...types: string[]): (text: string) => boolean {
  return (text) => types.includes(JSON.parse(fromUtf8(split(text).payload)).type);
}

async function witness(): Promise<object[]> {
  const text = world.phone.witnessed(BOOK) ?? "";
  return text
    .trim()
    .split("\n")
    .map((line) => JSON.parse(line));
}

beforeEach(async () => {
  server = await FakeServer.open();
  world = new World(server);
  await world.start();
  await world.join();
  server.hidden = hides("plan_set");
  for (const wall of ["A", "B", "C", "D", "E"])
    await server.write("plan_set", { wall, title: wall, replaces: null });
});

async function promote(role = "chief"): Promise<void> {
  const { device } = world.show.membership;
  const { key } = await world.storage.load();
  await server.write("device_admitted", { device, jwk: key?.jwk, person: "p1", name_blob: "n", role });
}

describe("a phone that may not read everything", () => {
  it("works out the root over leaves alone, after a restart too, and goes on", async () => {
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 7, copies: 0 });
    const { root } = await world.sync();
    await world.start();
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 7, root });
    await world.look("A/x/locks:2");
    await server.write("plan_set", { wall: "F", title: "F", replaces: null });
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 9, unsent: 0 });
    expect(world.show.plans.size).toBe(0);
  });

  it("writes a line with the hash alone into its witness file", async () => {
    await world.sync();
    const leaves = await Promise.all(
      server.entries.slice(2).map(async (text) => ({ leaf: await entryId(text) })),
    );
    expect((await witness()).slice(1, -1)).toEqual([
      ...server.entries.slice(0, 2).map((entry) => ({ entry })),
      ...leaves,
    ]);
  });

  it("asks for no text while its role stays", async () => {
    await world.sync();
    await world.start();
    await world.sync();
    expect(server.asked.flat()).toEqual([]);
  });

  it("stops when the hashes are not those of the head, and when a page holds neither text nor hash", async () => {
    const { sync } = server;
    const twist = async (leaf: unknown) => {
      server.sync = async (...call) => {
        const answer = await sync.apply(server, call);
        const entries = answer.entries?.map((item) => (typeof item === "string" ? item : leaf));
        // What no server says is what this is about.
        return { ...answer, entries } as SyncResponse;
      };
      return world.sync();
    };
    expect(await twist({ leaf: "0".repeat(64) })).toMatchObject({ sync: "forked", size: 2 });
    for (const odd of [{ leaf: "0" }, { leaf: 5 }, {}, null, 7]) {
      expect((await twist(odd)).why, JSON.stringify(odd)).toMatch(
        /entry \d is neither a text nor a leaf hash/,
      );
    }
    server.sync = sync;
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 7 });
  });

  it("crosses a restore over leaves, and loses only the places of those behind the base", async () => {
    await world.look("A/x/locks:2");
    await world.sync();
    const own = must(server.entries.at(-1));
    await server.restore(4);
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 6, restores: 1, unsent: 0 });
    expect(server.entries.at(-1)).toBe(own);
    await world.start();
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 6 });
    expect((await world.storage.load()).leaves.map(({ index }) => index)).toEqual([2, 3]);
  });
});

describe("a phone whose role has changed", () => {
  it("asks for the texts of old leaves, and has them as if they had come at once", async () => {
    await world.sync();
    server.hidden = () => false;
    await promote();
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 8 });
    expect(server.asked.filter((call) => call.length > 0)).toEqual([[2, 3, 4, 5, 6]]);
    expect([...world.show.plans.keys()]).toEqual(["A", "B", "C", "D", "E"]);
    expect(world.show.membership.role).toBe("chief");
    const told = new Show(world.show.membership);
    await world.start();
    told.add([...world.show.entries.values()]);
    expect(told.plans.size).toBe(5);
    expect((await world.storage.load()).leaves).toEqual([]);
    expect((await witness()).filter((line) => "leaf" in line)).toEqual([]);
    expect((await world.phone.start(world.highWater)).memberships[0]?.role).toBe("chief");
  });

  it("asks once for what it may not read in the new role either, and again in the next one", async () => {
    await world.sync();
    await promote("client");
    await world.sync();
    await world.sync();
    await world.start();
    await world.sync();
    expect(server.asked.filter((call) => call.length > 0)).toHaveLength(1);
    server.hidden = (text) => hides("plan_set")(text) && text !== server.entries[3];
    await promote("chief");
    for (let i = 0; i < 3; i++) await world.sync();
    expect(server.asked.filter((call) => call.length > 0).slice(1)).toEqual([
      [2, 3, 4, 5, 6],
      [4, 5, 6],
    ]);
    expect([...world.show.plans.keys()]).toEqual(["B"]);
    expect((await witness()).filter((line) => "leaf" in line)).toHaveLength(4);
  });

  it("asks for as many at once as the server gives", async () => {
    for (let i = 0; i < 600; i++)
      await server.write("plan_set", { wall: `A${i}`, title: "", replaces: null });
    server.pageSize = 1000;
    await world.sync();
    server.hidden = () => false;
    await promote();
    await world.sync();
    expect(server.asked.filter((call) => call.length > 0).map((call) => call.length)).toEqual([500, 105]);
    expect(world.show.plans.size).toBe(605);
  });

  it("asks on where the server stopped because its answer was large enough", async () => {
    await world.sync();
    server.hidden = (text) => text === server.entries[2] || text === server.entries[6];
    server.textsAtOnce = 2;
    await promote();
    await world.sync();
    await world.sync();
    expect(server.asked.filter((call) => call.length > 0)).toEqual([[2, 3, 4, 5, 6], [5, 6], [6]]);
    expect([...world.show.plans.keys()]).toEqual(["B", "C", "D"]);
  });

  it("stops when a text is not the one of its leaf, its other form too", async () => {
    await world.sync();
    await promote();
    const { sync } = server;
    server.hidden = () => false;
    for (const wrong of [otherForm(at(server.entries, 2)), at(server.entries, 3), "no entry"]) {
      server.sync = async (...call) => ({
        ...(await sync.apply(server, call)),
        texts: [{ index: 2, entry: wrong }],
      });
      const status = await world.sync();
      expect(status).toMatchObject({ sync: "forked" });
      expect(status.why).toBe("the text shown for entry 2 is not the one that the book was made from");
    }
    server.sync = sync;
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 8 });
  });

  it("learns from late texts which leaves are copies", async () => {
    server.keepsTwins = true;
    await server.push(otherForm(at(server.entries, 2)));
    expect(await world.sync()).toMatchObject({ copies: 0, size: 8 });
    server.hidden = () => false;
    await promote();
    expect(await world.sync()).toMatchObject({ copies: 1, size: 9 });
    expect(world.show.plans.get("A")?.id).toBe(await entryId(at(server.entries, 2)));
    expect(world.show.entries.size).toBe(8);
  });
});

describe("a blob that a role may not read", () => {
  it("is asked for once, and again in another role", async () => {
    const bytes = utf8("the plan");
    const name = hex(await sha256(bytes));
    server.blobs.set(name, bytes);
    server.deniedBlobs.add(name);
    server.hidden = () => false;
    await server.write("plan_set", { wall: "Z", title: "Z", replaces: null, checks_file: name });
    for (let i = 0; i < 3; i++) await world.sync();
    expect(await world.phone.blob(BOOK, name)).toBeNull();
    expect(server.askedBlobs.filter((asked) => asked === name)).toHaveLength(1);
    server.deniedBlobs.clear();
    await promote();
    await world.sync();
    expect(await world.phone.blob(BOOK, name)).toBe("the plan");
    expect(server.askedBlobs.filter((asked) => asked === name)).toHaveLength(2);
  });
});
