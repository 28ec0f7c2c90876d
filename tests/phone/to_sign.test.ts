/** Which wall somebody is sent to sign: one that is ready comes before anything else that is to be looked at. */

import { describe, expect, it } from "vitest";
import { toSign } from "../../static/src/walk/findings/to_sign";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";
import { checkOf, wallFile } from "./walls";

function planned(role: string): Show {
  const show = new Show({ ...ME, role });
  for (const wall of ["A", "B"]) {
    const plan = { wall, replaces: null, title: "", checks_file: wall };
    show.add([keptEntry("plan_set", plan, { id: `plan-${wall}`, index: wall === "A" ? 0 : 1 })]);
    show.files.set(wall, wallFile({ wall, checks: [checkOf(`${wall}/tile/1.1/condition:sound`)] }));
  }
  return show;
}

const ok = (wall: string, index: number) =>
  keptEntry(
    "found",
    { plan: "p", checks: [`${wall}/tile/1.1/condition:sound`], result: "ok", answers: [] },
    { index },
  );

const signed = (wall: string, size: number) =>
  keptEntry(
    "signed_off",
    { statement: "built", wall, plan: `plan-${wall}`, size, own: [], exceptions: [] },
    { index: size },
  );

describe("a wall to sign", () => {
  it("is one that nothing is in the way of, and that is not signed", () => {
    const show = planned("chief");
    expect(toSign(show, ["A", "B"], true)).toBeUndefined();
    expect(toSign(show, ["A", "B"], false)).toBe("A");
    show.add([ok("B", 2)]);
    expect(toSign(show, ["A", "B"], true)).toBe("B");
    show.add([signed("B", 3)]);
    expect(toSign(show, ["A", "B"], true)).toBeUndefined();
    expect(toSign(show, ["B"], false)).toBeUndefined();
  });

  it("is none while it comes down, and none for whoever signs nothing", () => {
    const show = planned("chief");
    show.add([ok("A", 2)]);
    expect(toSign(show, ["A"], true)).toBe("A");
    show.add([keptEntry("strike_opened", { plan: "p", wall: "A", tiles: null, reason: "show_over" }, {})]);
    expect(toSign(show, ["A"], true)).toBeUndefined();
    const crew = planned("crew");
    crew.add([ok("A", 2)]);
    expect(toSign(crew, ["A"], true)).toBeUndefined();
  });
});
