import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Weight } from "../../static/src/book/entry";
import { type Act, type ActKind, Fold, rank } from "../../static/src/book/findings";
import { isAmong } from "../../static/src/book/names";
import { why } from "../../static/src/book/why";
import vectors from "../vectors/findings.json";
import random from "../vectors/random_findings.json";

/** An act as vectors write it down. */
interface Told extends Omit<Act, "otherId" | "answers" | "reopens" | "early"> {
  answers: string[];
  reopens: string[];
  early: string[];
}

/** Decoded JSON: its words are only known to be strings. */
function acted(acts: object[]): Act[] {
  return (acts as Told[]).map(({ answers, reopens, early, ...act }) => ({
    ...act,
    otherId: `${act.id}'`,
    answers: new Set(answers),
    reopens: new Set(reopens),
    early: new Set(early),
  }));
}

const CHECKS = ["a", "b", "c"];

describe("findings add up", () => {
  for (const scene of vectors.cases) {
    it(scene.description, () => {
      const fold = new Fold();
      fold.add(acted(scene.acts));
      for (const [check, expected] of Object.entries(scene.expect)) {
        expect({ ...fold.state(check), why: why(fold, check) }).toEqual(expected);
      }
    });
  }
});

describe("histories at random", () => {
  it("add up as the plain rules say", () => {
    for (const { acts, expect: expected } of random.cases) {
      const fold = new Fold();
      fold.add(acted(acts));
      for (const [check, state] of Object.entries(expected)) expect(fold.state(check)).toEqual(state);
    }
  });
});

const ids = fc.integer({ min: 0, max: 9 }).map(String);
const names = fc.tuple(ids, fc.constantFrom("", "'")).map(([id, form]) => id + form);
const act = fc.record({
  author: fc.constantFrom("p", "q"),
  kind: fc.constantFrom<ActKind[]>("ok", "fault", "not_reached", "reopened", "withdrawn"),
  checks: fc.uniqueArray(fc.constantFrom(...CHECKS), { minLength: 1, maxLength: 2 }),
  weight: fc.constantFrom<Weight[]>("stop", "show", "cosmetic"),
  answers: fc.array(names, { maxLength: 3 }),
  target: names,
});
const histories = fc.array(act, { maxLength: 10 }).map((acts) =>
  acts.map((raw, i): Act => {
    const { kind } = raw;
    return {
      ...raw,
      id: String(i),
      otherId: `${i}'`,
      kind,
      checks: kind === "withdrawn" ? [] : raw.checks,
      weight: kind === "fault" ? raw.weight : null,
      answers: new Set(kind === "ok" ? raw.answers : []),
      target: kind === "withdrawn" ? raw.target : null,
      reopens: new Set(kind === "fault" ? raw.checks.slice(1) : []),
      duty: null,
      early: new Set(),
      at: "",
    };
  }),
);

function states(acts: Act[]) {
  const fold = new Fold();
  fold.add(acts);
  return CHECKS.map((check) => fold.state(check));
}

describe("findings in any order", () => {
  it("are the same, doubles or not", () => {
    fc.assert(
      fc.property(histories, fc.infiniteStream(fc.nat()), (acts, order) => {
        const shuffled = [...acts, ...acts.slice(0, 3)]
          .map((item) => ({ item, at: order.next().value }))
          .sort((a, b) => a.at - b.at)
          .map(({ item }) => item);
        expect(states(shuffled)).toEqual(states(acts));
      }),
    );
  });

  it("are the same by whichever ids an act comes and is named", () => {
    const twisted = (id: string) => (id.endsWith("'") ? id.slice(0, -1) : `${id}'`);
    fc.assert(
      fc.property(histories, fc.infiniteStream(fc.boolean()), (acts, coin) => {
        const flip = (id: string) => (coin.next().value ? twisted(id) : id);
        const named = acts.map((item) => ({
          ...item,
          answers: new Set([...item.answers].map(flip)),
          target: item.target && flip(item.target),
        }));
        const again = named.map((item) => ({ ...item, id: item.otherId, otherId: item.id }));
        expect(states([...named, ...again])).toEqual(states(acts));
      }),
    );
  });

  it("tell every check that changed", () => {
    fc.assert(
      fc.property(histories, (acts) => {
        const fold = new Fold();
        for (const item of acts) {
          const before = CHECKS.map((check) => fold.state(check));
          const changed = fold.add([item]);
          CHECKS.forEach((check, i) => {
            if (!changed.has(check)) expect(fold.state(check)).toEqual(before[i]);
          });
        }
      }),
    );
  });

  it("never hide a fault that no ok for that check alone names", () => {
    fc.assert(
      fc.property(histories, (acts) => {
        const fold = new Fold();
        fold.add(acts);
        const named = new Set(acts.flatMap((item) => (item.checks.length === 1 ? [...item.answers] : [])));
        for (const item of acts.filter((other) => other.kind === "fault" && !isAmong(other, named))) {
          if (!fold.isLive(item)) continue;
          const own = item.checks.filter((check) => !item.reopens.has(check));
          for (const check of own) expect(rank(fold.state(check))).toBeGreaterThanOrEqual(4);
        }
      }),
    );
  });
});
