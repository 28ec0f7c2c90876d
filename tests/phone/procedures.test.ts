/** Procedures walked by whoever answers whatever: every walk ends, going back forgets, limits make faults. */

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { must } from "../../static/src/book/must";
import { Edition } from "../../static/src/walk/checks/edition";
import { factsOf, limitsOf } from "../../static/src/walk/checks/facts";
import {
  answered,
  back,
  begin,
  chosenOf,
  countOf,
  type EditionFile,
  type Given,
  isShown,
  type Limits,
  limitOf,
  nth,
  type Procedure,
  type Run,
  readingsOf,
  type Step,
  standing,
} from "../../static/src/walk/checks/procedures";
import procedureFile from "../vectors/procedures.json";
import { tileAt, wallFile } from "./walls";

const TEXTS = { en: {}, de: { "lock.title": "Verschlüsse einer Fuge" } };
/** Decoded JSON, which the validator of the server has looked at. */
const FILE = { v: 1, procedures: procedureFile, texts: TEXTS } as unknown as EditionFile;
const FEATURES = [
  "magnets",
  "springing_guards",
  "module_retaining_nut",
  "safety_cable",
  "connector_cover",
  "front_extraction_tool",
  "adapter_before_clamp",
  "module_change_live_allowed",
  "places_differ",
  "flown",
  "points_known",
];
const DONE_WELL = { fault: null, both: false };
const procedures = fc.constantFrom(...Object.values(FILE.procedures));
const facts = fc.subarray(FEATURES);

/** A good answer to a step; `pick` chooses among its choices. */
function goodAnswer(step: Step, pick: number) {
  const choice = step.choices[pick % Math.max(1, step.choices.length)]?.when;
  return {
    ...(choice === undefined ? {} : { choice }),
    ...(step.input ? { value: (step.input.min + step.input.max) / 2 } : {}),
    ...(step.text ? { text: "something" } : {}),
  };
}

function take(run: Run, pick: number): Run {
  const step = standing(run);
  if (!("key" in step)) return run;
  const next = answered(run, goodAnswer(step, pick));
  if (typeof next === "string") throw new Error(`${step.key}: ${next}`);
  return next;
}

describe("a procedure", () => {
  it("shows only what the tile has, and ends well by its first choices", () => {
    fc.assert(
      fc.property(procedures, facts, (procedure, has) => {
        let run = begin(procedure, has, {});
        for (let count = 0; "key" in standing(run); count++) {
          expect(isShown(stepOf(run), run.facts)).toBe(true);
          expect(count).toBeLessThan(procedure.steps.length + 1);
          run = take(run, 0);
        }
        const told = procedure.key === "incident" ? { fault: "somebody_hurt", both: false } : DONE_WELL;
        expect(standing(run)).toEqual(told);
      }),
    );
  });

  it("never stands at a step that is not its own, whatever is chosen, and forgets on going back", () => {
    fc.assert(
      fc.property(procedures, facts, fc.array(fc.nat(5), { maxLength: 40 }), (procedure, has, picks) => {
        let run = begin(procedure, has, {});
        for (const pick of picks) {
          const before = standing(run);
          const next = take(run, pick);
          if ("key" in before) expect(standing(back(next))).toEqual(before);
          run = next;
        }
        const end = standing(run);
        if ("key" in end) expect(procedure.steps).toContain(end);
        else if (end.fault !== null) expect(procedure.reasons).toContain(end.fault);
      }),
    );
  });

  it("reaches every step and every fault of every procedure", () => {
    for (const procedure of Object.values(FILE.procedures)) {
      const seen = new Set<string>();
      const faults = new Set<string>();
      const ways: Run[] = [[], FEATURES].map((has) => begin(procedure, has, limits(procedure)));
      const known = new Set<string>();
      while (ways.length > 0) {
        const run = must(ways.pop());
        const now = standing(run);
        if (!("key" in now)) {
          if (now.fault !== null) faults.add(now.fault);
          continue;
        }
        seen.add(now.key);
        const mark = `${now.key}/${run.facts.size}`;
        if (known.has(mark)) continue;
        known.add(mark);
        for (const answer of allAnswers(now)) {
          const next = answered(run, answer);
          if (typeof next !== "string") ways.push(next);
        }
      }
      expect([...seen].sort(), procedure.key).toEqual(procedure.steps.map(({ key }) => key).sort());
      const named = procedure.steps.flatMap(({ choices, input }) => [
        ...choices.flatMap(({ fault }) => fault ?? []),
        ...[input?.over, input?.under].flatMap((reason) => reason ?? []),
      ]);
      expect([...faults].sort(), procedure.key).toEqual([...new Set(named)].sort());
    }
  });
});

/** The step that a run stands at, where it is not at its end. */
function stepOf(run: Run): Step {
  const now = standing(run);
  if (!("key" in now)) throw new Error("at its end");
  return now;
}

/** The run with one more answer, which is a good one. */
function answer(run: Run, given: Given): Run {
  const next = answered(run, given);
  if (typeof next === "string") throw new Error(next);
  return next;
}

/** A limit in the middle of what can be true, for every reading that has one. */
function limits(procedure: Procedure): Record<string, number> {
  const limited = procedure.steps.flatMap(({ input }) =>
    input?.limit ? [[input.each ? `${input.limit}_1` : input.limit, (input.min + input.max) / 2]] : [],
  );
  return Object.fromEntries(limited);
}

function allAnswers(step: Step) {
  const values = step.input
    ? [step.input.min, (step.input.min + step.input.max) / 2, step.input.max]
    : [undefined];
  const choices = step.choices.length > 0 ? step.choices.map(({ when }) => when) : [undefined];
  return values.flatMap((value) =>
    choices.map((choice) => ({
      ...(value === undefined ? {} : { value }),
      ...(choice === undefined ? {} : { choice }),
      ...(step.text ? { text: "something" } : {}),
    })),
  );
}

describe("an answer", () => {
  const curve = must(FILE.procedures.curve);
  const lock = must(FILE.procedures.lock);
  const atGap = () => take(begin(curve, [], { gap_mm: 0.3 }), 0);

  it("is refused where it is no number, impossible, or missing", () => {
    expect(answered(atGap(), { value: Number.NaN })).toBe("number");
    expect(answered(atGap(), { value: 51 })).toBe("range");
    expect(answered(begin(curve, [], {}), {})).toBe("choice");
    expect(answered(begin(curve, [], {}), { choice: "flying" })).toBe("choice");
    const told = [0, 0, 0, 0].reduce(take, begin(must(FILE.procedures.incident), [], {}));
    expect(answered(told, { text: "  " })).toBe("text");
  });

  it("over the limit is a fault of its own name, at the limit it is none", () => {
    expect(standing(answer(atGap(), { value: 0.4 }))).toEqual({ fault: "gap", both: false });
    expect("key" in standing(answer(atGap(), { value: 0.3 }))).toBe(true);
    const free = take(begin(curve, [], { gap_mm: null }), 0);
    expect("key" in standing(answer(free, { value: 49 }))).toBe(true);
  });

  it("that a lock is stiff a second time is a fault on both tiles, the first time it is none", () => {
    let run = begin(lock, [], {});
    for (let i = 0; i < 3; i++) run = take(run, 0);
    run = answer(run, { choice: "stiff" });
    expect(stepOf(run).key).toBe("stop");
    for (let i = 0; i < 5; i++) run = take(run, 0);
    run = answer(run, { choice: "stiff_again" });
    expect(standing(run)).toEqual({ fault: "lock_stiff", both: true });
    expect(chosenOf(run)).toEqual(["listen:stiff", "carried:nothing_rests", "again:stiff_again"]);
  });

  it("leaves its reading, the last one where a step came twice", () => {
    const drying = must(FILE.procedures.drying);
    let run = take(take(begin(drying, [], {}), 0), 0);
    for (const [value, choice] of [
      [4, "not_above"],
      [19, "well_above"],
    ] as const) {
      run = answer(run, { value });
      run = answer(run, { choice });
      if (choice === "not_above") run = take(run, 0);
    }
    expect(readingsOf(run)).toEqual([{ name: "surface_c", unit: "deg_c", value: 19 }]);
    expect(standing(take(run, 0))).toEqual(DONE_WELL);
  });
});

describe("a lift", () => {
  const RATED = { point_kg_1: 500, point_kg_2: null, point_kg_3: 400 };
  const atLoad = (limits: Limits, known: boolean) => {
    let run = begin(must(FILE.procedures.lift), known ? ["flown", "points_known"] : ["flown"], limits);
    while (!["load", "highest"].includes(stepOf(run).key)) run = take(run, 0);
    return run;
  };

  it("asks for each point's load against its own limit, and says which were not measured", () => {
    let run = atLoad(RATED, true);
    const asked: unknown[] = [];
    for (const given of [
      { value: 480, choice: "under_its_limit" },
      { value: 480, choice: "not_measured" },
      { value: 400, choice: "under_its_limit" },
    ]) {
      const step = stepOf(run);
      asked.push([
        step.key,
        nth(run, step),
        countOf(run, step),
        limitOf(run, must(step.input), nth(run, step)),
      ]);
      run = answer(run, given);
    }
    expect(asked).toEqual([
      ["load", 1, 3, 500],
      ["load", 2, 3, null],
      ["load", 3, 3, 400],
    ]);
    expect(stepOf(run).key).toBe("told");
    expect(readingsOf(run)).toEqual([
      { name: "point_kg_1", unit: "kg", value: 480 },
      { name: "point_kg_3", unit: "kg", value: 400 },
    ]);
    expect(chosenOf(run).slice(-2)).toEqual(["load:not_measured", "load:under_its_limit"]);
  });

  it("stops at a point over its limit, whatever was tapped, and goes back to that point", () => {
    const second = answer(atLoad(RATED, true), { value: 500, choice: "under_its_limit" });
    const third = answer(second, { value: 600, choice: "under_its_limit" });
    const over = answer(third, { value: 401, choice: "under_its_limit" });
    expect(stepOf(over).key).toBe("over");
    expect(chosenOf(over)).toEqual(chosenOf(third));
    expect(nth(back(over), stepOf(back(over)))).toBe(3);
    expect(standing(take(over, 0))).toEqual({ fault: "point_overloaded", both: false });
  });

  it("asks for the highest of them where the plan names none, or for none", () => {
    const run = atLoad({}, false);
    expect(stepOf(run).key).toBe("highest");
    expect(answered(run, { choice: "each_under_its_limit" })).toBe("number");
    const unmeasured = answer(run, { choice: "not_measured" });
    expect(stepOf(unmeasured).key).toBe("told");
    expect(readingsOf(unmeasured)).toEqual([]);
  });
});

describe("a changed module", () => {
  const keys = (has: string[]) => {
    const procedure = must(FILE.procedures.module_swap);
    let run = begin(procedure, has, {});
    const seen: string[] = [];
    while ("key" in standing(run)) {
      seen.push(stepOf(run).key);
      run = take(run, 0);
    }
    return seen;
  };

  it("is done dead unless the maker allows it live", () => {
    expect(keys([])).toContain("dead");
    expect(keys([])).not.toContain("live");
    expect(keys(["module_change_live_allowed"])).toContain("live");
    expect(keys(["module_change_live_allowed"])).not.toContain("dead");
  });

  it("comes out from the front or from the rear, and moves its cover only between different places", () => {
    expect(keys(["front_extraction_tool"])).toContain("front");
    expect(keys(["front_extraction_tool"])).not.toContain("rear");
    expect(keys([])).toContain("rear");
    expect(keys(["connector_cover"])).not.toContain("cover");
    expect(keys(["connector_cover", "places_differ"])).toContain("cover");
  });
});

describe("an edition", () => {
  const own = new Edition("x", { ...FILE, texts: { en: { "lock.title": "Locks" }, de: {} } }, "de");

  it("falls back to English, and to the key, but never to nothing", () => {
    expect(own.title("lock")).toBe("Locks");
    expect(own.title("clamp")).toBe("clamp.title");
    expect(new Edition("x", FILE, "de").title("lock")).toBe("Verschlüsse einer Fuge");
  });
});

describe("what holds at a place", () => {
  const type = (features: string[], gap_mm: number) => ({
    features,
    modules: { columns: 1, rows: 1 },
    pixels: { width: 1, height: 1 },
    limits: { gap_mm },
  });
  const file = wallFile({
    support: "flown",
    bends_deg: [0, 5],
    limits: { dead_pixels: 3 },
    tiles: [tileAt("1.1", "a"), tileAt("2.1", "b")],
    types: { a: type(["magnets"], 0.3), b: type([], 0.2) },
  });

  it("is what its tiles have, and the narrowest limit of theirs", () => {
    expect(factsOf(file, ["2.1"])).toEqual(new Set(["flown", "bent"]));
    expect(factsOf(file, ["1.1", "2.1"])).toEqual(new Set(["magnets", "flown", "bent"]));
    expect(limitsOf(file, ["1.1", "2.1"])).toEqual({ dead_pixels: 3, gap_mm: 0.2 });
    expect(limitsOf(file, ["1.1"])).toEqual({ dead_pixels: 3, gap_mm: 0.3 });
    const hung = wallFile({ ...file, limits: { point_kg_1: null } });
    expect(factsOf(hung, ["2.1"])).toEqual(new Set(["flown", "bent", "points_known"]));
  });
});
