import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Act, Fold } from "../../static/src/book/findings";
import { spotsOf, tilesOf } from "../../static/src/ui/map_shapes";
import { pathsOf } from "../../static/src/ui/map_states";
import { firstView, isNear, shownIn, whole } from "../../static/src/ui/map_view";
import { keptUp } from "../../static/src/walk/checks/kept_up";
import { asksFor, nextOpen } from "../../static/src/walk/checks/progress";
import { checkOf, tileAt, wallFile } from "./walls";

const COLUMNS = 12;
const ROWS = 10;
const tiles = Array.from({ length: COLUMNS * ROWS }, (_, i) =>
  tileAt(`${(i % COLUMNS) + 1}.${Math.floor(i / COLUMNS) + 1}`),
);
const checks = tiles.flatMap(({ id }) => [
  checkOf(`A/tile/${id}/locks:2`),
  checkOf(`A/tile/${id}/second_look:2`),
]);
const stops = tiles.map(({ id, column, row }, i) => ({
  place: `tile/${id}`,
  column,
  row,
  checks: [2 * i, 2 * i + 1],
}));
const walk = { key: "build", stops };
const file = wallFile({ columns: COLUMNS, rows: ROWS, tiles, checks, walks: [walk] });

/** Acts of two people at a few checks, some of which answer or take back what was there before. */
const acts = fc
  .array(
    fc.record({
      kind: fc.constantFrom<Act["kind"]>("ok", "fault", "not_reached", "reopened", "withdrawn"),
      author: fc.constantFrom("p1", "p2"),
      at: fc.array(fc.nat(12), { minLength: 1, maxLength: 3 }),
      before: fc.nat(30),
    }),
    { maxLength: 30 },
  )
  .map((all) => all.map(actOf));

type Drawn = { kind: Act["kind"]; author: string; at: number[]; before: number };

function actOf({ kind, author, at, before }: Drawn, number: number): Act {
  const named = number === 0 ? "none" : `a${before % number}`;
  const isBack = kind === "withdrawn";
  return {
    id: `a${number}`,
    otherId: `b${number}`,
    author,
    kind,
    checks: isBack ? [] : at.map((i) => checks[i]?.id ?? ""),
    weight: kind === "fault" ? "stop" : null,
    answers: new Set(kind === "ok" ? [named] : []),
    target: isBack ? named : null,
    reopens: new Set(),
    duty: null,
    early: new Set(),
    at: "2026-11-20T22:00:00.000Z",
  };
}

function foldOf(all: Act[]): Fold {
  const fold = new Fold();
  fold.add(all);
  return fold;
}

const statesOf = keptUp(
  (fold: Fold, of: string[]) => new Map(of.map((id) => [id, fold.state(id)])),
  (states, check, fold) => states.set(check, fold.state(check)),
);

describe("what is kept up with a fold", () => {
  const { blocks } = spotsOf(file, walk, false);
  const ids = checks.map(({ id }) => id);

  it("says after every act what is worked out whole", () => {
    fc.assert(
      fc.property(acts, (all) => {
        const fold = new Fold();
        for (const [i, act] of all.entries()) {
          fold.add([act]);
          const whole = foldOf(all.slice(0, i + 1));
          expect([...pathsOf(fold, blocks).values()]).toEqual([...pathsOf(whole, blocks).values()]);
          expect(statesOf(fold, ids)).toEqual(new Map(ids.map((id) => [id, whole.state(id)])));
        }
      }),
      { numRuns: 40 },
    );
  });

  it("draws the block of a place anew, and leaves the others the very same", () => {
    const fold = new Fold();
    const before = new Map(pathsOf(fold, blocks));
    fold.add([actOf({ kind: "ok", author: "p1", at: [0], before: 0 }, 0)]);
    const after = pathsOf(fold, blocks);
    expect(blocks.filter((block) => before.get(block) !== after.get(block))).toHaveLength(1);
  });

  it("goes with its fold", () => {
    const [old, anew] = [foldOf([actOf({ kind: "ok", author: "p1", at: [0], before: 0 }, 0)]), new Fold()];
    expect(statesOf(old, ids).get(ids[0] ?? "")?.state).toBe("ok");
    expect(statesOf(anew, ids).get(ids[0] ?? "")?.state).toBe("open");
  });
});

describe("the next stop", () => {
  /** Word by word: every stop is asked, and what comes first in the order of its doc wins. */
  function nextWhole(fold: Fold, from: number, part: { first: number; last: number } | null, due: number[]) {
    const around = stops.map((_, step) => (from + step) % stops.length);
    const asking = around.map((index) => {
      const stop = stops[index];
      return { index, ask: stop ? asksFor(fold, file, stop, "p1") : null };
    });
    const isOwn = (index: number) => part === null || (index >= part.first && index <= part.last);
    const looks = asking.filter(({ ask }) => ask === "look").map(({ index }) => index);
    const orders = [
      looks.filter((index) => due.includes(index) && isOwn(index)),
      looks.filter((index) => due.includes(index)),
      looks.filter(isOwn),
      looks,
      asking.filter(({ ask }) => ask === "mend").map(({ index }) => index),
    ];
    return orders.flat()[0] ?? null;
  }

  it("is what asking every stop would find", () => {
    const stretch = fc.option(
      fc
        .tuple(fc.nat(7), fc.nat(7))
        .map(([a, b]) => ({ person: "p1", first: Math.min(a, b), last: Math.max(a, b) })),
    );
    const due = fc.subarray(stops.map((_, index) => index));
    fc.assert(
      fc.property(acts, fc.nat(stops.length), stretch, due, (all, from, part, isDue) => {
        const fold = foldOf(all);
        const asked = {
          author: "p1",
          part,
          isDue: ({ checks: [first = 0] }: { checks: number[] }) => isDue.includes(first / 2),
        };
        expect(nextOpen(fold, file, walk, from, asked)).toBe(nextWhole(fold, from, part, isDue));
      }),
    );
  });
});

describe("a map drawn in blocks", () => {
  it("draws every tile and every place once, from the front and from behind", () => {
    for (const rear of [false, true]) {
      expect(tilesOf(file, rear).flatMap(({ shapes }) => shapes)).toHaveLength(tiles.length);
      const { all, blocks, of } = spotsOf(file, walk, rear);
      expect(new Set(blocks.flatMap(({ shapes }) => shapes))).toEqual(new Set(all));
      expect([...of.keys()].sort()).toEqual(checks.map(({ id }) => id).sort());
    }
  });

  it("leaves out nothing that is in its frame, whatever the frame's shape", () => {
    const long = { columns: 100, rows: 40 };
    const side = fc.integer({ min: 1, max: 2000 });
    const point = fc.record({ x: fc.nat(99), y: fc.nat(39) });
    fc.assert(
      fc.property(side, side, point, (w, h, { x, y }) => {
        const lit = { x, y, w: 1, h: 1 };
        const shown = shownIn(long, firstView(long, lit, { w, h }), { w, h });
        expect(isNear(shown, lit)).toBe(true);
      }),
    );
    const frame = { w: 100, h: 1000 };
    expect(isNear(shownIn(long, whole(long), frame), { x: 0, y: 39, w: 1, h: 1 })).toBe(true);
    expect(isNear(shownIn(long, { x: 50, y: 20, scale: 4 }, frame), { x: 50, y: -8, w: 1, h: 1 })).toBe(true);
  });

  it("draws nothing before it knows its room, and little of what is far away", () => {
    const long = { columns: 100, rows: 40 };
    const box = { x: 50, y: 20, w: 1, h: 1 };
    expect(isNear(shownIn(long, whole(long), { w: 0, h: 0 }), box)).toBe(false);
    const near = shownIn(long, { x: 10, y: 10, scale: 8 }, { w: 390, h: 160 });
    expect(isNear(near, box)).toBe(false);
  });
});
