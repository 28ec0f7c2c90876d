import fc from "fast-check";
import { beforeEach, describe, expect, it } from "vitest";
import { base64url, utf8 } from "../../static/src/book/bytes";
import { type KeptEntry, readEntry } from "../../static/src/book/entry";
import { actOf, Fold } from "../../static/src/book/findings";
import { type DeviceKey, makeDeviceKey, otherForm, signingInput } from "../../static/src/book/jws";
import { MemoryLogFile } from "../../static/src/store/log";
import { MemoryStorage } from "../../static/src/store/storage";
import { BOOK, FakeServer } from "./server";
import { World } from "./world";

const CHECKS = ["A/a/locks:2", "A/b/locks:2"];

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
    expect(world.show.fold.state(CHECKS[0] as string)).toEqual({ state: "ok", weight: null, standing: [id] });
    if (lose === "log") expect(world.logged()).toEqual(mine[0]?.sending === "seen" ? [] : [kept]);
  }
}

describe("a text of this phone's entry that somebody twisted", () => {
  it("is taken for its own when the verdict names it", async () => {
    const made = await world.look(CHECKS[0] as string);
    const twisted = otherForm(made.jws);
    await server.push(twisted);
    server.signedIn = false;
    expect(await world.sync()).toMatchObject({ sync: "sign_in", unsent: 1, refused: [] });
    expect(world.logged()).toEqual([made.jws, twisted]);
    await isOneEntry(twisted, made);
  });

  it("is taken for its own when a page brings it, and is in the log before it is anywhere else", async () => {
    const made = await world.look(CHECKS[0] as string);
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
    const made = await world.look(CHECKS[0] as string);
    const key = (await world.storage.load()).key as DeviceKey;
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
    const made = await world.look(CHECKS[0] as string);
    const twisted = otherForm(made.jws);
    server.held.push(twisted);
    expect(await world.sync()).toMatchObject({ held: 1, unsent: 0 });
    expect((await world.mine()).map(({ jws, sending }) => [jws, sending])).toEqual([[twisted, "held"]]);
    await isOneEntry(twisted, made);
  });

  it("is the one that later entries go on from, and answers by either id are one", async () => {
    const fault = await world.look(CHECKS[0] as string, "fault");
    await server.push(otherForm(fault.jws));
    const before = await world.look(CHECKS[0] as string, "ok", [fault.id]);
    await world.sync();
    const after = await world.look(CHECKS[1] as string);
    expect([before.prev, after.n]).toEqual([fault.id, 3]);
    expect(world.show.fold.state(CHECKS[0] as string)).toMatchObject({ state: "ok", standing: [before.id] });
    expect(await world.sync()).toMatchObject({ unsent: 0, forked: false, missing: 0 });
    expect(world.highWater).toEqual({ [BOOK]: 3 });
  });

  it("stops the phone when this phone's key did not sign it, and nothing is given up", async () => {
    const made = await world.look(CHECKS[0] as string);
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
    await copy.storage.put({ key: (await world.storage.load()).key as DeviceKey });
    await copy.start();
    await copy.join();
    await world.look(CHECKS[0] as string);
    expect(await world.sync()).toMatchObject({ forked: false });
    await server.push((await copy.look(CHECKS[1] as string)).jws);
    expect(await world.sync()).toMatchObject({ sync: "idle", forked: true });
  });
});

describe("a book that an older server kept twins in", () => {
  beforeEach(() => {
    server.keepsTwins = true;
  });

  it("is followed leaf by leaf, and twins have no effect, after a restart too", async () => {
    const ok = await world.look(CHECKS[0] as string);
    await world.sync();
    await world.phone.append(BOOK, "withdrawn", { entry: ok.id });
    await world.sync();
    await server.push(otherForm(ok.jws));
    for (const again of [false, true]) {
      if (again) await world.start();
      const status = await world.sync();
      expect(status).toMatchObject({ sync: "idle", size: 5, copies: 1, unsent: 0, forked: false });
      expect(world.show.fold.state(CHECKS[0] as string).state).toBe("open");
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
    const made = await world.look(CHECKS[0] as string);
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
    const admitted = server.entries[1] as string;
    const { device } = world.show.membership;
    await server.write("device_revoked", { device });
    expect(await world.sync()).toMatchObject({ admitted: false });
    await server.push(otherForm(admitted));
    const made = await world.look(CHECKS[0] as string);
    expect(await world.sync()).toMatchObject({ admitted: false, copies: 2, sync: "idle" });
    expect(world.show.entries.get(made.id)).toBeUndefined();
    expect(world.show.fold.state(CHECKS[0] as string).state).toBe("open");
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
    const first = server.entries.at(-1) as string;
    await change();
    await server.push(otherForm(first));
    expect(await world.sync()).toMatchObject({ sync: "idle", copies: 1 });
    await world.look(CHECKS[0] as string);
    expect(await world.sync()).toMatchObject({ sync: "idle", size: 6 });
  });

  it("is crossed at a restore without its twins, and every entry comes again once", async () => {
    const made = await world.look(CHECKS[0] as string);
    await world.sync();
    await server.push(otherForm(made.jws));
    const other = await world.look(CHECKS[1] as string);
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

/** The sums of a book in which each signing input stands once. */
async function cleanFold(texts: string[], authorOf: (device: string) => string): Promise<Fold> {
  const seen = new Set<string>();
  const fold = new Fold();
  for (const text of texts) {
    if (seen.has(signingInput(text))) continue;
    seen.add(signingInput(text));
    const entry = await readEntry(text, 0);
    const act = actOf(entry, authorOf(entry.device));
    if (act) fold.add([act]);
  }
  return fold;
}

const step = fc.oneof(
  fc.record({
    do: fc.constant("look" as const),
    check: fc.nat(1),
    result: fc.constantFrom("ok", "fault"),
    answers: fc.nat(9),
  }),
  fc.record({ do: fc.constant("withdraw" as const), which: fc.nat(9), form: fc.boolean() }),
  fc.record({ do: fc.constant("twist" as const), which: fc.nat(9) }),
  fc.record({ do: fc.constant("replay" as const), which: fc.nat(9) }),
  fc.record({
    do: fc.constantFrom("sync" as const, "lost" as const, "restart" as const, "lose log" as const),
  }),
);

describe("any mix of twisted and replayed texts", () => {
  it("adds up to what the clean book adds up to, each entry once, whatever the server keeps", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { maxLength: 14 }), fc.boolean(), async (steps, keepsTwins) => {
        server = await FakeServer.open();
        server.keepsTwins = keepsTwins;
        world = new World(server);
        await world.start();
        await world.join();
        const made: KeptEntry[] = [];
        const some = (which: number) => made[which % made.length];
        for (const item of steps) {
          if (item.do === "look") {
            const fault = item.result === "ok" && some(item.answers);
            const named = fault ? [item.answers % 2 ? fault.id : fault.otherId] : [];
            made.push(await world.look(CHECKS[item.check] as string, item.result, named));
          } else if (item.do === "withdraw") {
            const target = some(item.which);
            if (target)
              made.push(
                await world.phone.append(BOOK, "withdrawn", {
                  entry: item.form ? target.id : target.otherId,
                }),
              );
          } else if (item.do === "twist" && some(item.which)) {
            await server.push(otherForm((some(item.which) as KeptEntry).jws));
          } else if (item.do === "replay" && some(item.which)) {
            await server.push((some(item.which) as KeptEntry).jws);
          } else if (item.do === "sync") await world.sync();
          else if (item.do === "lost") {
            server.troubles = ["lost"];
            await world.sync();
          } else if (item.do === "restart") await world.start();
          else if (item.do === "lose log") {
            world.file = new MemoryLogFile();
            await world.start();
          }
        }
        server.troubles = [];
        const status = await world.sync();
        for (const again of [false, true]) {
          if (again) await world.start();
          expect(status).toMatchObject({ sync: "idle", unsent: 0, forked: false, missing: 0 });
          const clean = await cleanFold(server.entries, (device) => world.show.authorOf(device));
          for (const check of CHECKS) expect(world.show.fold.state(check)).toEqual(clean.state(check));
          const mine = await world.mine();
          expect(new Set(mine.map(({ jws }) => signingInput(jws))).size).toBe(made.length);
          expect(mine).toHaveLength(made.length);
          expect(world.last.lost).toBe(0);
        }
      }),
      { numRuns: 60 },
    );
  });
});
