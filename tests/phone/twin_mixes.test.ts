/** Entries looked, twisted, replayed and lost in any mix, against the book without its twins. */

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type KeptEntry, readEntry } from "../../static/src/book/entry";
import { actOf, Fold } from "../../static/src/book/findings";
import { otherForm, signingInput } from "../../static/src/book/jws";
import { at, must } from "../../static/src/book/must";
import { MemoryLogFile } from "../../static/src/store/log";
import { BOOK, FakeServer } from "./server";
import { World } from "./world";

const CHECKS = ["A/a/locks:2", "A/b/locks:2"];

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
        const server = await FakeServer.open();
        server.keepsTwins = keepsTwins;
        const world = new World(server);
        await world.start();
        await world.join();
        const made: KeptEntry[] = [];
        const some = (which: number) => made[which % made.length];
        for (const item of steps) {
          if (item.do === "look") {
            const fault = item.result === "ok" && some(item.answers);
            const named = fault ? [item.answers % 2 ? fault.id : fault.otherId] : [];
            made.push(await world.look(at(CHECKS, item.check), item.result, named));
          } else if (item.do === "withdraw") {
            const target = some(item.which);
            if (target)
              made.push(
                await world.phone.append(BOOK, "withdrawn", {
                  entry: item.form ? target.id : target.otherId,
                }),
              );
          } else if (item.do === "twist" && some(item.which)) {
            await server.push(otherForm(must(some(item.which)).jws));
          } else if (item.do === "replay" && some(item.which)) {
            await server.push(must(some(item.which)).jws);
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
