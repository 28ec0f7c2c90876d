/** Work shared out, its pace, spares that fit, and the second person's look. */

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { inTheWay } from "../../static/src/book/signoff";
import { Stock } from "../../static/src/scan/stock";
import { darkWith } from "../../static/src/walk/checks/cables";
import { isOfStrike, signable } from "../../static/src/walk/checks/checks";
import { eta, paces } from "../../static/src/walk/checks/pace";
import { nextOpen } from "../../static/src/walk/checks/progress";
import { share } from "../../static/src/walk/checks/sharing";
import { firstOf, isSameHands, maySecond } from "../../static/src/walk/findings/second_look";
import { Show } from "../../static/src/walk/show/show";
import { matchingSpares } from "../../static/src/walk/stock/spares";
import { statuses } from "../../static/src/walk/stock/warehouse";
import { keptEntry, ME } from "./entries";
import { checkOf, tileAt, wallFile } from "./walls";

const LOCKS = "A/side/1.1/2.1/locks:2";
const SECOND = "A/side/1.1/2.1/second_look:2";

const weights = fc.array(fc.nat(9), { maxLength: 60 });
const people = fc.array(fc.string({ minLength: 1 }), { minLength: 1, maxLength: 8 });

/** The least heaviest stretch of any cut, by trying all of them. */
function bruteForce(open: number[], count: number): number {
  if (count === 1) return open.reduce((sum, weight) => sum + weight, 0);
  let best = Number.POSITIVE_INFINITY;
  for (let cut = 1; cut <= open.length - count + 1; cut++) {
    const first = open.slice(0, cut).reduce((sum, weight) => sum + weight, 0);
    best = Math.min(best, Math.max(first, bruteForce(open.slice(cut), count - 1)));
  }
  return best;
}

describe("work shared out", () => {
  it("covers every open stop once, in stretches that lie one after the other, for as many people as there is work", () => {
    fc.assert(
      fc.property(weights, people, (all, who) => {
        const parts = share(all, who);
        const open = all.flatMap((weight, stop) => (weight > 0 ? [stop] : []));
        expect(parts).toHaveLength(Math.min(who.length, open.length));
        expect(parts.map(({ person }) => person)).toEqual(who.slice(0, parts.length));
        const covered = open.map(
          (stop) => parts.filter(({ first, last }) => first <= stop && stop <= last).length,
        );
        expect(covered.every((count) => count === 1)).toBe(true);
        for (const [i, part] of parts.entries()) {
          expect(all[part.first]).toBeGreaterThan(0);
          expect(all[part.last]).toBeGreaterThan(0);
          if (i > 0) expect(part.first).toBeGreaterThan(parts[i - 1]?.last ?? -1);
        }
      }),
    );
  });

  it("is balanced: no other cut has a lighter heaviest stretch", () => {
    const few = fc.array(fc.nat(9), { maxLength: 10 });
    fc.assert(
      fc.property(few, fc.integer({ min: 1, max: 4 }), (all, count) => {
        const parts = share(
          all,
          Array.from({ length: count }, (_, i) => `p${i}`),
        );
        const open = all.filter((weight) => weight > 0);
        if (open.length === 0) return;
        const heaviest = Math.max(
          ...parts.map(({ first, last }) =>
            all.slice(first, last + 1).reduce((sum, weight) => sum + weight, 0),
          ),
        );
        expect(heaviest).toBe(bruteForce(open, Math.min(count, open.length)));
      }),
    );
  });

  it("is among those who walk walls: the office, the client and the warehouse are not asked", () => {
    const show = new Show(ME);
    for (const role of [
      "crew",
      "chief",
      "electrician",
      "competent_person",
      "office",
      "client",
      "warehouse",
    ]) {
      const body = { device: `d-${role}`, person: role, role, name_blob: "n", jwk: {} };
      show.add([keptEntry("device_admitted", body)]);
    }
    expect(show.walkers()).toEqual(["crew", "chief", "electrician", "competent_person"]);
  });

  it("holds by its newest sharing, and sends everybody to the own stretch first", () => {
    const show = new Show(ME);
    const parts = (mine: number) => [
      { person: "p2", first: 0, last: mine - 1 },
      { person: "p1", first: mine, last: 3 },
    ];
    const stops = [1, 2, 3, 4].map((row, index) => ({
      place: `tile/1.${row}`,
      column: 1,
      row,
      checks: [index],
    }));
    const checks = stops.map(({ place }) => checkOf(`A/${place}/condition:sound`));
    const walk = { key: "load_in", stops };
    const file = wallFile({ checks, walks: [walk] });
    const next = (from: number) => nextOpen(show.fold, file, walk, from, show.asked("A", "load_in"));
    expect(next(0)).toBe(0);
    show.add([keptEntry("work_shared", { wall: "A", walk: "load_in", parts: parts(3) }, { index: 5 })]);
    show.add([keptEntry("work_shared", { wall: "A", walk: "load_in", parts: parts(1) }, { index: 4 })]);
    expect(next(0)).toBe(3);
    show.add([keptEntry("work_shared", { wall: "A", walk: "load_in", parts: parts(2) })]);
    expect(next(0)).toBe(2);
    for (const stop of [2, 3]) {
      show.add([keptEntry("found", { plan: "p", checks: [checks[stop]?.id], result: "ok", answers: [] })]);
    }
    expect(next(2)).toBe(0);
    expect(next(4), "from past the last one it begins again").toBe(0);
  });
});

describe("the time that is left", () => {
  const at = (seconds: number) => new Date(Date.UTC(2026, 10, 20, 22, 0, seconds)).toISOString();
  const look = (seconds: number, places: string[], device = "me") =>
    keptEntry(
      "found",
      { checks: places.map((place) => `A/${place}/edges:clean`) },
      { at: at(seconds), device },
    );

  it("is told by each phone's own steps, for each place, without breaks", () => {
    const seen = [
      look(0, ["tile/1.1"]),
      look(10, ["tile/1.2"]),
      look(30, ["tile/1.3", "tile/1.4"]),
      look(12, ["x/1"], "b"),
      look(15, ["x/2"], "b"),
      look(2000, ["x/3"], "b"),
    ];
    expect(paces(seen).sort((a, b) => a - b)).toEqual([3, 10, 10]);
  });

  it("is not told by what is copied from a paper", () => {
    const copied = [0, 1, 2].map((s) => look(s, [`tile/1.${s}`]));
    for (const entry_ of copied) entry_.body.paper = { at: "2026-11-20T20:00Z", by_blob: "b" };
    expect(paces(copied)).toEqual([]);
  });

  it("is unknown while too little was seen", () => {
    expect(eta(10, [5, 5, 5, 5])).toBeNull();
    expect(eta(0, [5, 5, 5, 5, 5])).toBeNull();
  });

  it("has no spread where the pace has none, and a wider one for less seen", () => {
    expect(eta(60, [10, 10, 10, 10, 10])).toEqual({ minutes: 10, from: 10, to: 10, seen: 5 });
    const wide = (times: number) => {
      const found = eta(60, Array.from({ length: times }, () => [5, 15]).flat());
      return (found?.to ?? 0) - (found?.from ?? 0);
    };
    expect(wide(3)).toBeGreaterThan(wide(30));
  });

  it("falls between its bounds about four times in five", () => {
    // A crew that needs exponentially distributed seconds, by a small generator of fixed seed: a plain count.
    let state = 12345;
    const uniform = () => {
      state = (state * 1103515245 + 12345) % 2147483648;
      return (state + 1) / 2147483649;
    };
    const step = () => -12 * Math.log(uniform());
    let within = 0;
    for (let night = 0; night < 1000; night++) {
      const told = eta(80, Array.from({ length: 60 }, step));
      const true_ = Array.from({ length: 80 }, step).reduce((sum, s) => sum + s, 0) / 60;
      if (told && true_ >= told.from && true_ <= told.to) within += 1;
    }
    expect(within).toBeGreaterThan(740);
    expect(within).toBeLessThan(850);
  });
});

describe("a second look", () => {
  const found = (check: string, device: string) =>
    keptEntry("found", { plan: "p", checks: [check], result: "ok", answers: [] }, { device });

  it("belongs to the locks of its joint", () => {
    expect(firstOf(SECOND)).toBe(LOCKS);
    expect(firstOf(LOCKS)).toBeNull();
  });

  it("may be given by anybody but the one who alone found the locks shut", () => {
    const show = new Show(ME);
    expect(maySecond(show.fold, SECOND, "p1")).toBe(true);
    show.add([found(LOCKS, "me")]);
    expect(maySecond(show.fold, SECOND, "p1")).toBe(false);
    expect(maySecond(show.fold, SECOND, "other")).toBe(true);
    show.add([found(LOCKS, "other")]);
    expect(maySecond(show.fold, SECOND, "p1")).toBe(true);
  });

  it("by the same hands is in the way of a sign-off until somebody else looks", () => {
    const show = new Show(ME);
    show.add([found(LOCKS, "me"), found(SECOND, "me")]);
    const way = () =>
      inTheWay([LOCKS, SECOND], show.states("A"), (check) =>
        isSameHands(show.fold, check) ? "same_hands" : null,
      );
    expect(way().map(({ check, why }) => [check, why])).toEqual([[SECOND, "same_hands"]]);
    show.add([found(SECOND, "other")]);
    expect(way()).toEqual([]);
  });
});

describe("service", () => {
  const items: [string, string | null, string | null, string | null, "here" | "away"][] = [
    ["HQM000010", "plover_500", "HQC000017", "A", "here"],
    ["HQM000029", "plover_500", null, "B", "here"],
    ["HQM000037", "plover_500", null, "A", "away"],
    ["HQM000045", "heron", null, "A", "here"],
    ["HQE000011", "plover_500", null, "A", "here"],
    ["HQM000053", "plover_500", null, "A", "here"],
  ];
  const stock = new Stock({ v: 1, items, labels: {}, revoked: {} });

  it("offers spares of the same type at this show, the same batch first, none that came out or went in", () => {
    const show = new Show(ME);
    const codes = () =>
      matchingSpares(show, stock, "module", "plover_500", "A").map(({ thing }) => thing.code);
    expect(codes()).toEqual(["HQM000010", "HQM000053", "HQM000029"]);
    const swap = keptEntry("swapped", { out: "HQM000010", in: "HQM000053", reopens: [] });
    show.add([swap]);
    expect(codes()).toEqual(["HQM000029"]);
    expect(statuses(show)("HQM000010").status).toBe("quarantined");
    show.add([keptEntry("withdrawn", { entry: swap.id })]);
    expect(statuses(show)("HQM000010").status).toBe("in_stock");
  });

  it("names what goes dark behind a tile: its circuit, and its run where there is no backup", () => {
    const tiles = ["1.1", "1.2", "1.3", "2.1"].map((id) => tileAt(id));
    const cables = { circuits: [{ line: null, tiles: [0, 1, 2] }], runs: [[3, 1, 0]], backup_ports: null };
    const file = wallFile({ tiles, cables });
    expect(darkWith(file, "1.2")).toEqual(["1.2", "1.1", "1.3"]);
    expect(darkWith({ ...file, cables: { ...cables, backup_ports: [2] } }, "1.2")).toEqual(["1.2", "1.3"]);
  });
});

describe("taking down", () => {
  it("is no part of what is signed as built", () => {
    const checks = [checkOf("A/tile/1.1/struck:cased"), checkOf("A/tile/1.1/condition:sound")];
    expect(isOfStrike("A/bar/b1/bar_cased:clean")).toBe(true);
    expect(signable(wallFile({ checks }))).toEqual([checks[1]]);
  });
});
