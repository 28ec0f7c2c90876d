/** Oks that nobody can have looked for: the rule by the vectors that the server passes too, and what stands behind. */

import { describe, expect, it } from "vitest";
import type { EntryOf } from "../../static/src/book/entry";
import { at } from "../../static/src/book/must";
import { tooQuick } from "../../static/src/walk/checks/pace_rule";
import { quickOf } from "../../static/src/walk/findings/quick_oks";
import { Show } from "../../static/src/walk/show/show";
import vectors from "../vectors/pace.json";
import { keptEntry, ME } from "./entries";

const START = Date.parse("2026-11-20T22:00:00.000Z");

/** One tap for each joint up a column, at a steady pace. */
function stops(count: number, every_s: number, device = "me"): EntryOf<"found">[] {
  return Array.from({ length: count }, (_, n) =>
    looked([`A/side/1.${n + 1}/2.${n + 1}/locks:2`], n * every_s, { device }),
  );
}

function looked(checks: string[], after_s: number, more: { device?: string } = {}) {
  const { device = "me" } = more;
  const at = new Date(START + after_s * 1000).toISOString();
  return keptEntry("found", { plan: "p", result: "ok", answers: [], checks }, { at, device });
}

function answered(oks: EntryOf<"found">[], device = "me"): EntryOf<"pace_answered"> {
  const entries = oks.map(({ id }) => id);
  return keptEntry("pace_answered", { entries, answer: "tapped_afterwards" }, { device });
}

function quick(show: Show, check: string) {
  return quickOf(show, [check])[0] ?? null;
}

function checkAt(row: number): string {
  return `A/side/1.${row}/2.${row}/locks:2`;
}

describe("the pace rule", () => {
  it.each(vectors)("$shows", ({ taps, quick }) => {
    expect(tooQuick(taps.map(({ at_ms, checks }) => ({ at_ms: at_ms ?? Number.NaN, checks })))).toEqual(
      quick,
    );
  });
});

describe("a check's pace", () => {
  it("is told of 290 stops at 0.1 s each, place by place", () => {
    const show = new Show(ME);
    show.add(stops(290, 0.1));
    const told = Array.from({ length: 290 }, (_, n) => quick(show, checkAt(n + 1)));
    expect(told.filter((quick) => quick !== null).length).toBe(289);
    expect(told[7]?.afterwards).toEqual([]);
  });

  it("is told of nobody who looks, however many walk at once", () => {
    const show = new Show(ME);
    show.add([...stops(40, 1.4, "me"), ...stops(40, 1.4, "other")].sort((a, b) => a.at.localeCompare(b.at)));
    for (const row of [1, 20, 40]) expect(quick(show, checkAt(row))).toBeNull();
  });

  it("is good again once somebody looks with time to look, or takes the ok back", () => {
    const show = new Show(ME);
    const made = stops(60, 0.1);
    show.add(made);
    show.add([looked([checkAt(5)], 500)]);
    expect(quick(show, checkAt(5))).toBeNull();
    expect(quick(show, checkAt(6))).not.toBeNull();
    show.add([keptEntry("withdrawn", { entry: made[5]?.id })]);
    expect(quick(show, checkAt(6)), "open, so it is asked for anyway").toBeNull();
  });

  it("keeps what its author says of it, and nobody else", () => {
    const show = new Show(ME);
    const made = stops(60, 0.1);
    show.add(made);
    const said = answered([at(made, 4), at(made, 5)]);
    show.add([said, answered([at(made, 6)], "other")]);
    expect(quick(show, checkAt(5))?.afterwards).toEqual([said]);
    expect(quick(show, checkAt(7))?.afterwards).toEqual([]);
    expect(quick(show, checkAt(8))?.afterwards).toEqual([]);
    show.add([keptEntry("withdrawn", { entry: said.id })]);
    expect(quick(show, checkAt(5))?.afterwards).toEqual([]);
  });

  it("is no matter of papers, which are copied in faster than they were walked", () => {
    const show = new Show(ME);
    const made = stops(60, 0.1);
    for (const { body } of made) body.paper = { at: "2026-11-20T20:00Z", by_blob: "b" };
    show.add(made);
    expect(quick(show, checkAt(30))).toBeNull();
  });
});
