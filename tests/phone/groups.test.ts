/** Checks and entries in groups that somebody can take in. */

import { describe, expect, it } from "vitest";
import { groupsOf } from "../../static/src/screens/show/entry_groups";
import { grouped } from "../../static/src/walk/findings/groups";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";
import { checkOf, wallFile } from "./walls";

const IDS = [
  "A/tile/1.1/condition:sound",
  "A/tile/2.1/condition:sound",
  "A/tile/1.2/condition:sound",
  "A/bar/b1/level:true",
  "A/circuit/1/circuit:on",
];
const FILE = wallFile({
  checks: IDS.map((id) => checkOf(id)),
  walks: [
    {
      key: "load_in",
      stops: [
        { place: "tile/1.2", column: 1, row: 2, checks: [2] },
        { place: "tile/1.1", column: 1, row: 1, checks: [0] },
        { place: "tile/2.1", column: 2, row: 1, checks: [1] },
      ],
    },
    { key: "base", stops: [{ place: "bar/b1", column: 1, row: 1, checks: [3] }] },
    { key: "power", stops: [{ place: "circuit/1", column: 1, row: 1, checks: [4] }] },
  ],
});

describe("checks in groups", () => {
  it("are together by walk, by row and by what is said of them, rows from the lowest on", () => {
    const items = [...IDS, "A/tile/9.9/condition:sound"].map((check) => ({ check, says: "open" }));
    expect(grouped(FILE, items).map(({ walk, groups }) => [walk, groups.map(({ of }) => of)])).toEqual([
      ["load_in", [1, 2]],
      ["base", ["bar"]],
      ["power", ["circuit"]],
      [null, [null]],
    ]);
    const [first] = grouped(FILE, items)[0]?.groups ?? [];
    expect(first?.checks).toEqual([IDS[0], IDS[1]]);
    expect(first?.stop, "the first of them on the walk").toBe(1);
  });

  it("are apart where something else is said of them", () => {
    const says = (check: string, word: string) => ({ check, says: word });
    const items = [says(IDS[0] ?? "", "open"), says(IDS[1] ?? "", "stop")];
    expect(grouped(FILE, items)[0]?.groups.map((group) => [group.says, group.checks.length])).toEqual([
      ["open", 1],
      ["stop", 1],
    ]);
  });
});

describe("entries in groups", () => {
  it("are together by what they say and where, those that are refused first", () => {
    const show = new Show(ME);
    const ok = (check: string | undefined) => keptEntry("found", { checks: [check], result: "ok" });
    const refused = ok(IDS[0]);
    const own = [ok(IDS[0]), keptEntry("withdrawn", { entry: "e" }), ok(IDS[1]), refused];
    const groups = groupsOf(show, own, (entry) => (entry === refused ? "no" : null));
    expect(groups.map(({ why, entries }) => [why, entries.length])).toEqual([
      ["no", 1],
      [null, 2],
      [null, 1],
    ]);
  });
});
