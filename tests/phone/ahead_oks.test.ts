/** What was found ok ahead of its turn, until what was missing proves to have been there. */

import { describe, expect, it } from "vitest";
import { aheadOks } from "../../static/src/walk/findings/ahead_oks";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";

const [LOCKS, EDGES] = ["A/side/1.1/2.1/locks:2", "A/side/1.1/2.1/edges:clean"];

function ok(check: string, time: string, more: object = {}) {
  const body = { plan: "p", checks: [check], result: "ok", answers: [], ...more };
  return keptEntry("found", body, { at: `2026-11-20T${time}:00.000Z` });
}

describe("an ok ahead of its turn", () => {
  it("is listed with what was missing, until that proves earlier", () => {
    const show = new Show(ME);
    const early = ok(LOCKS, "22:05", { ahead: { reason: "order", missing: [EDGES], held: [] } });
    show.add([early, ok(EDGES, "22:09")]);
    expect(aheadOks(show, [LOCKS, EDGES])).toEqual([
      { check: LOCKS, ok: early, reason: "order", missing: [EDGES], held: false },
    ]);
    show.add([ok(EDGES, "22:01")]);
    expect(aheadOks(show, [LOCKS, EDGES])).toEqual([]);
  });

  it("is listed where a stop held the place, whatever was missing", () => {
    const show = new Show(ME);
    show.add([ok(LOCKS, "22:05", { ahead: { reason: "order", missing: [], held: ["f"] } })]);
    expect(aheadOks(show, [LOCKS])).toMatchObject([{ held: true }]);
  });

  it("is no matter once it was taken back", () => {
    const show = new Show(ME);
    const early = ok(LOCKS, "22:05", { ahead: { reason: "order", missing: [EDGES], held: [] } });
    show.add([early, keptEntry("withdrawn", { entry: early.id })]);
    expect(aheadOks(show, [LOCKS])).toEqual([]);
  });
});
