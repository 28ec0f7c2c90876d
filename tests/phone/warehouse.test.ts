/** The warehouse on the phone: cases two people work in, what stops a case, the bench, the pick list. */

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { EntryType, KeptEntry } from "../../static/src/book/entry";
import { must } from "../../static/src/book/must";
import { checkCharacter } from "../../static/src/scan/codes";
import type { Stock, StockItem } from "../../static/src/scan/stock";
import { readUsed } from "../../static/src/screens/stock/bench_form";
import type { PrepFile } from "../../static/src/walk/files";
import { Show } from "../../static/src/walk/show/show";
import { benchState, type Step } from "../../static/src/walk/stock/bench";
import { Cases, type Stage } from "../../static/src/walk/stock/cases";
import {
  expectedIn,
  pickLines,
  statuses,
  stillOut,
  stopsOf,
  substituteFor,
} from "../../static/src/walk/stock/warehouse";
import benchScenes from "../vectors/bench.json";
import caseScenes from "../vectors/cases.json";
import { keptEntry } from "./entries";

function code(letter: string, serial: number): string {
  const body = `HQ${letter}${String(serial).padStart(5, "0")}`;
  return body + checkCharacter(body);
}

const box = (n: number) => code("C", n);
const tile = (n: number) => code("T", n);

let n = 0;
function made(type: EntryType, body: object, device = "me"): KeptEntry {
  n += 1;
  const at = new Date(Date.UTC(2026, 10, 20, 8, n)).toISOString();
  return keptEntry(type, body, { device, at, index: n });
}

function seen(
  items: string[],
  where: string | null,
  stage: Stage = "return",
  device = "me",
  replaces: string[] = [],
) {
  return made("item_seen", { items, case: where, stage, replaces }, device);
}

describe("what lies in a case", () => {
  it.each(caseScenes)(
    "is as at the office: $description",
    ({ sightings, closings, withdrawn, expected, state }) => {
      const entries = [
        ...sightings.map(({ entry, author, ...body }) => ({
          ...made("item_seen", { ...body, stage: "return" }, author),
          id: entry,
        })),
        ...closings.map(({ entry, author, ...body }) => ({
          ...made("case_closed", { ...body, stage: "return", lacking: [] }, author),
          id: entry,
        })),
        ...withdrawn.map(({ entry, author }) => made("withdrawn", { entry }, author)),
      ];
      for (const order of [entries, [...entries].reverse()]) {
        const cases = new Cases();
        for (const entry of order) cases.add(entry);
        expect(cases.state("return", "C1", expected)).toEqual(state);
      }
    },
  );

  it("is the same on both phones, however two people share a case and in whatever order it arrives", () => {
    const things = ["T1", "T2", "T3", "T4", "T5"];
    const scans = fc.array(fc.tuple(fc.constantFrom("mika", "rosa"), fc.constantFrom(...things)), {
      maxLength: 12,
    });
    fc.assert(
      fc.property(scans, fc.infiniteStream(fc.nat()), (told, luck) => {
        const entries = told.map(([who, item]) => seen([item], "C1", "return", who));
        const shuffled = entries.map((entry) => ({ entry, place: luck.next().value }));
        const other = shuffled.sort((a, b) => a.place - b.place).map(({ entry }) => entry);
        const states = [entries, other].map((order) => {
          const cases = new Cases();
          for (const entry of order) cases.add(entry);
          return cases.state("return", "C1", things);
        });
        expect(states[0]).toEqual(states[1]);
        expect(states[0]?.there).toEqual([...new Set(told.map(([, item]) => item))].sort());
      }),
    );
  });
});

const acts = fc.array(
  fc.record({
    kind: fc.constantFrom("seen", "seen", "seen", "withdrawn"),
    who: fc.constantFrom("mika", "rosa"),
    items: fc.uniqueArray(fc.constantFrom("T1", "T2", "T3"), { minLength: 1 }),
    box: fc.constantFrom("C1", "C2", null),
    stage: fc.constantFrom("prep" as const, "return" as const),
    names: fc.array(fc.nat(9), { maxLength: 3 }),
  }),
  { maxLength: 10 },
);

describe("adding one after another", () => {
  it("comes to what adding up anew comes to, in any order", () => {
    fc.assert(
      fc.property(acts, fc.infiniteStream(fc.nat()), (told, luck) => {
        const entries: KeptEntry[] = [];
        for (const { kind, who, items, box: where, stage, names } of told) {
          const ids = names.flatMap((at) => entries[at]?.id ?? []);
          const withdrawn = made("withdrawn", { entry: ids[0] ?? "nothing" }, who);
          entries.push(kind === "seen" ? seen(items, where, stage, who, ids) : withdrawn);
        }
        const asked = (cases: Cases) => {
          const stages = ["prep", "return"] as const;
          const things = ["T1", "T2", "T3"];
          return stages.map((stage) => [
            cases.itemsAt(stage),
            cases.seenAt(stage),
            ...["C1", "C2"].map((name) => cases.state(stage, name, things)),
          ]);
        };
        const order = entries.map((entry) => ({ entry, place: luck.next().value }));
        const step = new Cases();
        for (const { entry } of order.sort((a, b) => a.place - b.place)) {
          step.add(entry);
          asked(step);
        }
        const anew = new Cases();
        for (const entry of entries) anew.add(entry);
        expect(asked(step)).toEqual(asked(anew));
      }),
      { numRuns: 500 },
    );
  });
});

describe("the bench", () => {
  it.each(benchScenes)("has the office's rules: $description", ({ steps, state }) => {
    // Decoded JSON: its words are only known to be strings.
    const told = steps.map(([entry, by, what, result]) => ({ entry, by, what, result }) as Step);
    const { status, since, workedBy } = benchState(told);
    expect({ status, since, worked_by: workedBy }).toEqual(state);
  });

  it("reads what was used up", () => {
    expect(readUsed("lock_spring 2, screw_m4 6,")).toEqual({ lock_spring: 2, screw_m4: 6 });
    expect(readUsed("glue")).toEqual({ glue: 1 });
    expect(readUsed("")).toEqual({});
    expect(readUsed("2 springs")).toBeNull();
  });
});

/** Five cases of two tiles; the batch of each. */
function show(
  batches = "AAABA",
  change: Record<string, Partial<Record<number, unknown>>> = {},
): { show: Show; stock: Stock } {
  const items: StockItem[] = [];
  for (const [i, batch] of [...batches].entries()) {
    const own = box(i + 1);
    items.push([own, "plover_500", null, null, "home", null, "in_stock", ""]);
    for (const t of [tile(2 * i + 1), tile(2 * i + 2)]) {
      const item: StockItem = [t, "plover_500", own, batch, "home", own, "in_stock", ""];
      items.push(Object.assign(item, change[t]));
    }
  }
  const membership = {
    book: "b",
    title: "",
    ownerFingerprint: "",
    device: "me",
    person: "mika",
    name: "",
    role: "warehouse",
  };
  const found = new Show(membership);
  found.takeStock("s", { v: 2, items, labels: {}, revoked: {} });
  return { show: found, stock: must(found.stock) };
}

function prep(...cases: number[]): PrepFile {
  const planned = cases.map((number, first) => ({
    case: box(number),
    wall: "A",
    tile_type: "plover_500",
    batch: "A",
    tiles: 2,
    columns: [first + 1],
    first,
    troubles: [],
    substitute: null,
    mass_kg: null,
    people: null,
  }));
  const picks = [
    { kind: "case", of: "plover_500", count: cases.length, in_walls: cases.length, spares: 0 },
    { kind: "tile", of: "plover_500", count: 2 * cases.length, in_walls: 2 * cases.length, spares: 0 },
    { kind: "clamp", of: "", count: 6, in_walls: 5, spares: 1 },
  ];
  return { v: 1, cases: planned, truck: planned.map(({ case: name }) => name).reverse(), picks };
}

describe("a case that goes out", () => {
  it("goes without a word when it is on the list and whole", () => {
    const { show: night, stock } = show();
    night.takePrep("p", prep(1, 2));
    expect(stopsOf(night, stock, box(1))).toEqual([]);
    expect(stopsOf(night, stock, box(3)).map(({ key }) => key)).toEqual(["not_listed"]);
  });

  it("stops with the reason and the best other case: whole, of its batch, not taken", () => {
    const { show: night, stock } = show("AAABA", { [tile(1)]: { 6: "quarantined" }, [tile(5)]: { 5: null } });
    night.takePrep("p", prep(1, 2));
    expect(stopsOf(night, stock, box(1))).toEqual([{ key: "quarantined", about: [tile(1)] }]);
    expect(stopsOf(night, stock, box(3)).map(({ key }) => key)).toEqual(["not_listed", "incomplete"]);
    expect(substituteFor(night, stock, box(1))).toBe(box(5));
    night.add([seen([tile(9)], box(5), "prep")]);
    expect(substituteFor(night, stock, box(1))).toBe(box(4));
    night.add([seen([tile(7)], box(4), "prep")]);
    expect(substituteFor(night, stock, box(1))).toBeNull();
  });

  it("stops for mixed batches and for another batch than its wall's", () => {
    const { show: night, stock } = show("ABA", { [tile(1)]: { 3: "B" } });
    night.takePrep("p", prep(1, 2));
    expect(stopsOf(night, stock, box(1))).toEqual([{ key: "mixed", about: ["A", "B"] }]);
    expect(stopsOf(night, stock, box(2))).toEqual([{ key: "other_batch", about: ["B", "A"] }]);
    expect(substituteFor(night, stock, box(2))).toBe(box(3));
  });

  it("stops for what was seen damaged or came out of a wall after the list was made", () => {
    const { show: night, stock } = show();
    night.takePrep("p", prep(1));
    night.add([made("swapped", { out: tile(2), in: null, reopens: [] })]);
    expect(stopsOf(night, stock, box(1))).toEqual([{ key: "quarantined", about: [tile(2)] }]);
    const damage = [{ part: "corner:top_left", what: "chipped", weight: "cosmetic" }];
    night.add([made("item_looked_at", { item: tile(3), stage: "prep", covers: ["corner"], damage })]);
    expect(statuses(night)(tile(3)).status).toBe("in_stock");
    night.add([made("item_benched", { item: tile(2), step: "triage", result: "no_fault" })]);
    night.add([made("item_benched", { item: tile(2), step: "second_look", result: "sound" }, "other")]);
    expect(stopsOf(night, stock, box(1))).toEqual([]);
  });

  it("counts on the pick list: labels once, loose parts added up", () => {
    const { show: night } = show();
    night.takePrep("p", prep(1, 2));
    night.add([seen([tile(1), tile(2)], box(1), "prep"), seen([tile(3)], null, "prep")]);
    const counted = (count: number) => made("parts_counted", { stage: "prep", part: "clamp", of: "", count });
    const wrong = counted(40);
    night.add([counted(4), counted(1), wrong, made("withdrawn", { entry: wrong.id })]);
    expect(pickLines(night, "prep").map(({ kind, seen: got, wanted }) => [kind, got, wanted])).toEqual([
      ["case", 1, 2],
      ["tile", 3, 4],
      ["clamp", 5, 6],
    ]);
  });
});

describe("a case that comes back", () => {
  it("is measured against what went out in it, wherever the things have their home", () => {
    const { show: night } = show();
    expect(expectedIn(night, "return", box(1))).toEqual([tile(1), tile(2)]);
    night.add([seen([tile(1), tile(3)], box(1), "prep")]);
    expect(expectedIn(night, "return", box(1))).toEqual([tile(1), tile(3)]);
    expect(stillOut(night)).toEqual([tile(1), tile(3)]);
    night.add([seen([tile(3)], box(2))]);
    expect(stillOut(night)).toEqual([tile(1)]);
    night.takePrep("p", prep(1, 2));
    expect(pickLines(night, "return").map(({ kind, seen: got, wanted }) => [kind, got, wanted])).toEqual([
      ["case", 1, 1],
      ["tile", 1, 2],
      ["clamp", 0, 0],
    ]);
  });
});
