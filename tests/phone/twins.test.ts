import { beforeEach, describe, expect, it } from "vitest";
import { base64url, utf8 } from "../../static/src/book/bytes";
import type { KeptEntry } from "../../static/src/book/entry";
import { makeDeviceKey, otherForm, signingInput } from "../../static/src/book/jws";
import { at, must } from "../../static/src/book/must";
import { MemoryLogFile } from "../../static/src/store/log";
import { MemoryStorage } from "./memory_storage";
import { BOOK, FakeServer } from "./server";
import { World } from "./world";

const FIRST = "A/a/locks:2";
const SECOND = "A/b/locks:2";
const _CHECKS = [FIRST, SECOND];

let server: FakeServer;
let world: World;

beforeEach(async () => {
  server = await FakeServer.open();
  world = new World(server);
  await world.start();
  await world.join();
});

/** One entry, one row, one act, whatever happens to the stores. */
async function isOneEntry(kept: string, made: KeptEntry): Promise<void> {
  const id = kept === made.jws ? made.id : made.otherId;
  for (const lose of ["nothing", "restart", "log", "database"]) {
    if (lose === "log") world.file = new MemoryLogFile();
    if (lose === "database") world.storage = new MemoryStorage();
    if (lose !== "nothing") await world.start();
    const mine = await world.mine();
    expect(
      mine.map(({ jws }) => jws),
      lose,
    ).toEqual([kept]);
    expect(world.last.lost, lose).toBe(0);
    const own = [...world.show.entries.values()].filter(({ device }) => device === made.device);
    expect(
      own.map((entry) => [entry.id, entry.jws]),
      lose,
    ).toEqual([[id, kept]]);
    expect(world.show.fold.state(FIRST)).toEqual({ state: "ok", weight: null, standing: [id] });
    if (lose === "log") expect(world.logged()).toEqual(mine[0]?.sending === "seen" ? [] : [kept]);
  }
}

describe("a text of this phone's entry that somebody twisted", () => {
  it("is taken for its own when the verdict names it", async () => {
    const made = await world.look(FIRST);
    const twisted = otherForm(made.jws);
    await server.push(twisted);
    server.signedIn = false;
    expect(await world.sync()).toMatchObject({ sync: "sign_in", unsent: 1, refused: [] });
    expect(world.logged()).toEqual([made.jws, twisted]);
    await isOneEntry(twisted, made);
  });

  it("is taken for its own when a page brings it, and is in the log before it is anywhere else", async () => {
    const made = await world.look(FIRST);
    const twisted = otherForm(made.jws);
    await server.push(twisted);
    server.troubles = ["lost"];
    await world.sync();
    expect(await world.sync()).toMatchObject({ sync: "idle", unsent: 0, copies: 0, size: 3 });
    expect(world.logged()).toEqual([made.jws, twisted]);
    await world.start();
    expect((await world.mine()).map(({ jws, index }) => [jws, index])).toEqual([[twisted, 2]]);
    world.storage = new MemoryStorage();
    await world.start();
    expect((await world.mine()).map(({ jws }) => jws)).toEqual([twisted]);
    expect(world.last).toMatchObject({ restoredToDatabase: 1, lost: 0 });
  });

  it("is taken for its own when it is neither form but signed anew, once a page brings it", async () => {
    const made = await world.look(FIRST);
    const key = must((await world.storage.load()).key);
    const input = signingInput(made.jws);
    const es256 = { name: "ECDSA", hash: "SHA-256" };
    const signature = new Uint8Array(await crypto.subtle.sign(es256, key.privateKey, utf8(input)));
    const anew = `${input}.${base64url(signature)}`;
    await server.push(anew);
    expect(await world.sync()).toMatchObject({ sync: "idle", unsent: 0, copies: 0, size: 3 });
    expect(world.logged()).toEqual([made.jws, anew]);
    world.storage = new MemoryStorage();
    await world.start();
    expect((await world.mine()).map(({ jws }) => jws)).toEqual([anew]);
    const own = [...world.show.entries.values()].filter(({ device }) => device === made.device);
    expect(own.map(({ jws }) => jws)).toEqual([anew]);
  });

  it("is taken for its own while it is held", async () => {
    const made = await world.look(FIRST);
    const twisted = otherForm(made.jws);
    server.held.push(twisted);
    expect(await world.sync()).toMatchObject({ held: 1, unsent: 0 });
    expect((await world.mine()).map(({ jws, sending }) => [jws, sending])).toEqual([[twisted, "held"]]);
    await isOneEntry(twisted, made);
  });

  it("is the one that later entries go on from, and answers by either id are one", async () => {
    const fault = await world.look(FIRST, "fault");
    await server.push(otherForm(fault.jws));
    const before = await world.look(FIRST, "ok", [fault.id]);
    await world.sync();
    const after = await world.look(SECOND);
    expect([before.prev, after.n]).toEqual([fault.id, 3]);
    expect(world.show.fold.state(FIRST)).toMatchObject({ state: "ok", standing: [before.id] });
    expect(await world.sync()).toMatchObject({ unsent: 0, forked: false, missing: 0 });
    expect(world.highWater).toEqual({ [BOOK]: 3 });
  });

  it("stops the phone when this phone's key did not sign it, and nothing is given up", async () => {
    const made = await world.look(FIRST);
    const forged = `${signingInput(made.jws)}.${base64url(new Uint8Array(64).fill(1))}`;
    server.entries.push(forged);
    server.verdictFor.set(made.jws, "held");
    const status = await world.sync();
    expect(status).toMatchObject({ sync: "forked", size: 2 });
    expect(status.why).toBe(
      "the book holds a text for entry 1 of this phone that this phone's key did not sign",
    );
    expect((await world.mine()).map(({ jws }) => jws)).toEqual([made.jws]);
    expect(world.show.entries.get(made.id)?.jws).toBe(made.jws);
  });

  it("is no fork, but another entry of that number is: somebody else signs with this phone's key", async () => {
    const copy = new World(server);
    await copy.storage.put({ key: must((await world.storage.load()).key) });
    await copy.start();
    await copy.join();
    await world.look(FIRST);
    expect(await world.sync()).toMatchObject({ forked: false });
    await server.push((await copy.look(SECOND)).jws);
    expect(await world.sync()).toMatchObject({ sync: "idle", forked: true });
  });
});

describe("a book that an older server kept twins in", () => {
  beforeEach(() => {
    server.keepsTwins = true;
  });

  it("is followed leaf by leaf, and twins have no effect, after a restart too", async () => {
    const ok = await world.look(FIRST);
    await world.sync();
    await world.phone.append(BOOK, "withdrawn", { entry: ok.id });
    await world.sync();
    await server.push(otherForm(ok.jws));
    for (const again of [false, true]) {
      if (again) await world.start();
      const status = await world.sync();
      expect(status).toMatchObject({ sync: "idle", size: 5, copies: 1, unsent: 0, forked: false });
      expect(world.show.fold.state(FIRST).state).toBe("open");
      expect((await world.mine()).length).toBe(2);
    }
    expect(
      world.phone
        .witnessed(BOOK)
        ?.split("\n")
        .filter((line) => line.startsWith('{"entry"')),
    ).toHaveLength(5);
  });

  it("holds both forms of an entry that was unsent here: the first is its own, the second a copy", async () => {
    const made = await world.look(FIRST);
    await server.push(otherForm(made.jws));
    await server.push(made.jws);
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 4, copies: 1, unsent: 0 });
    const { entries } = await world.storage.load();
    const rows = entries.filter(({ jws }) => signingInput(jws) === signingInput(made.jws));
    expect(rows.map(({ jws, index, mine }) => [jws, index, mine])).toEqual([
      [otherForm(made.jws), 2, true],
      [made.jws, 3, false],
    ]);
    await world.start();
    expect(await world.sync()).toMatchObject({ size: 4, copies: 1, unsent: 0 });
    expect([...world.show.entries.values()].filter(({ type }) => type === "found")).toHaveLength(1);
  });

  it("does not admit this phone again by its own old admission, twisted", async () => {
    const admitted = at(server.entries, 1);
    const { device } = world.show.membership;
    await server.write("device_revoked", { device });
    expect(await world.sync()).toMatchObject({ admitted: false });
    await server.push(otherForm(admitted));
    const made = await world.look(FIRST);
    expect(await world.sync()).toMatchObject({ admitted: false, copies: 2, sync: "idle" });
    expect(world.show.entries.get(made.id)).toBeUndefined();
    expect(world.show.fold.state(FIRST).state).toBe("open");
    await world.start();
    expect(world.show.entries.get(made.id)).toBeUndefined();
    expect(await world.sync()).toMatchObject({ admitted: false, copies: 2 });
  });

  it("does not take an older head key again by a twin", async () => {
    const change = async () => {
      server.head = await makeDeviceKey();
      await server.write("head_key_changed", { epoch: 1, head_jwk: server.head.jwk });
    };
    await change();
    const first = must(server.entries.at(-1));
    await change();
    await server.push(otherForm(first));
    expect(await world.sync()).toMatchObject({ sync: "idle", copies: 1 });
    await world.look(FIRST);
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 6 });
  });

  it("is crossed at a restore without its twins, and every entry comes again once", async () => {
    const made = await world.look(FIRST);
    await world.sync();
    await server.push(otherForm(made.jws));
    const other = await world.look(SECOND);
    await world.sync();
    await server.restore(2);
    server.keepsTwins = false;
    await server.push(otherForm(other.jws));
    expect(await world.sync()).toMatchObject({ sync: "idle", unsent: 0, copies: 0, restores: 1, size: 5 });
    expect(server.entries.slice(3)).toEqual([otherForm(other.jws), made.jws]);
    expect((await world.mine()).map(({ jws }) => jws).sort()).toEqual(
      [made.jws, otherForm(other.jws)].sort(),
    );
    await world.start();
    expect(await world.sync()).toMatchObject({ unsent: 0, size: 5, copies: 0 });
  });
});
