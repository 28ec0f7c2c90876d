/** Where somebody is sent on: their share, second looks that are due, the day's order, then faults. */

import { describe, expect, it } from "vitest";
import type { ChecksFile } from "../../static/src/walk/checks/checks";
import { nextFor } from "../../static/src/walk/checks/next";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";
import { checkOf, wallFile } from "./walls";

const IDS = {
  load_in: ["tile/1.1/condition:sound", "tile/2.1/condition:sound"],
  build: ["base/b1/1.1/locks:2", "side/1.1/2.1/locks:2"],
  second_look: ["base/b1/1.1/second_look:2", "side/1.1/2.1/second_look:2"],
  strike: ["tile/1.1/struck:cased"],
};

/** Two tiles side by side: a stop for each check, but for the second looks, which are one row. */
function file(wall: string): ChecksFile {
  const all = Object.values(IDS).flat();
  const checks = all.map((id) => checkOf(`${wall}/${id}`));
  const stop = (id: string) => ({
    place: id.slice(0, id.lastIndexOf("/")),
    column: 1,
    row: 1,
    checks: [all.indexOf(id)],
  });
  const row = { place: "row/1/1-2", column: 1, row: 1, checks: IDS.second_look.map((id) => all.indexOf(id)) };
  const walks = Object.entries(IDS).map(([key, ids]) => ({
    key,
    stops: key === "second_look" ? [row] : ids.map(stop),
  }));
  return wallFile({ wall, checks, walks });
}

function planned(walls: string[], role = "crew"): Show {
  const show = new Show({ ...ME, role });
  for (const wall of walls) {
    show.add([keptEntry("plan_set", { wall, replaces: null, title: "", checks_file: wall })]);
    show.files.set(wall, file(wall));
  }
  return show;
}

function found(checks: string[], device = "me", more = {}) {
  return keptEntry("found", { plan: "p", checks, result: "ok", answers: [], ...more }, { device });
}

/** Where the show sends its phone: `A build 1 look`. */
function next(show: Show, first: string | null = null): string | null {
  const found = nextFor(show, first);
  return found && `${found.wall} ${found.walk.key} ${found.index} ${found.why}`;
}

const of = (wall: string, ...walks: (keyof typeof IDS)[]) =>
  walks.flatMap((walk) => IDS[walk].map((id) => `${wall}/${id}`));

describe("somebody", () => {
  it("goes walk by walk in the order of the day, on the wall that they were at", () => {
    const show = planned(["A", "B"]);
    expect(next(show)).toBe("A load_in 0 look");
    expect(next(show, "B")).toBe("B load_in 0 look");
    expect(next(show, "gone")).toBe("A load_in 0 look");
    show.add([found(of("A", "load_in"))]);
    expect(next(show)).toBe("A build 0 look");
    show.add([found(of("A", "build"))]);
    expect(next(show), "their own locks are not theirs to look at twice").toBe("B load_in 0 look");
  });

  it("goes to their own stretch before anything else, and past other people's", () => {
    const show = planned(["A", "B"]);
    const shared = (wall: string, walk: string, people: string[]) => {
      const parts = people.map((person, i) => ({ person, first: i, last: i }));
      return keptEntry("work_shared", { wall, walk, parts });
    };
    show.add([shared("B", "build", ["p2", "p1"])]);
    expect(next(show)).toBe("B build 1 share");
    show.add([found(["B/side/1.1/2.1/locks:2"]), shared("A", "load_in", ["p2", "p3"])]);
    expect(next(show)).toBe("A build 0 look");
    show.add([found(of("A", "build")), found(of("B", "load_in", "build"))]);
    expect(next(show), "what others were given is theirs until nothing else is left").toBe(
      "A load_in 0 look",
    );
  });

  it("gives a second look once the whole row was looked at by somebody else, before going on", () => {
    const show = planned(["A"]);
    show.add([found(["A/base/b1/1.1/locks:2"], "other")]);
    expect(next(show)).toBe("A load_in 0 look");
    show.add([found(["A/side/1.1/2.1/locks:2"], "other")]);
    expect(next(show)).toBe("A second_look 0 second");
    show.add([found(of("A", "second_look"))]);
    expect(next(show)).toBe("A load_in 0 look");
  });

  it("mends when nothing is left to look at, the worst first", () => {
    const show = planned(["A"]);
    const bad = (check: string, weight: string) => found([check], "other", { result: "fault", weight });
    const [first, second] = of("A", "load_in");
    show.add([found(of("A", "build"), "other"), found(of("A", "second_look"))]);
    show.add([bad(first ?? "", "cosmetic"), bad(second ?? "", "show")]);
    expect(next(show)).toBe("A load_in 1 mend");
  });

  it("is never sent ahead of their turn", () => {
    const show = planned(["A"]);
    const plain = file("A");
    const position = (id: string) => plain.checks.findIndex((check) => check.id === `A/${id}`);
    const turns = [{ before: IDS.build.map(position), after: IDS.load_in.map(position) }];
    show.files.set("A", { ...plain, v: 2, turns, rests: [] });
    expect(next(show), "load-in waits for the joints here").toBe("A build 0 look");
    show.add([found(of("A", "build"))]);
    expect(next(show)).toBe("A load_in 0 look");
  });

  it("is sent to nothing but strike on a wall that comes down", () => {
    const show = planned(["A", "B"]);
    const opened = (tiles: string[] | null) =>
      keptEntry("strike_opened", { plan: "p", wall: "A", tiles, reason: "over" });
    show.add([opened(["1.1"])]);
    expect(next(show), "only a part of it").toBe("A load_in 0 look");
    show.add([opened(null)]);
    expect(next(show)).toBe("A strike 0 look");
  });

  it("is sent to strike only when it has begun, and nowhere without the right to look", () => {
    const show = planned(["A"]);
    show.add([found(of("A", "load_in", "build")), found(of("A", "second_look"), "other")]);
    expect(next(show)).toBeNull();
    expect(next(planned(["A"], "client"))).toBeNull();
    const striking = planned(["A"]);
    striking.files.set("A", { ...file("A"), walks: file("A").walks.filter(({ key }) => key === "strike") });
    expect(next(striking)).toBeNull();
  });
});
