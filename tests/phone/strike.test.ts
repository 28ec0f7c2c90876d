/** Which columns come down: as they are typed, and as an entry names their tiles. */

import { describe, expect, it } from "vitest";
import { columnsOf, columnsWith, tilesWithin } from "../../static/src/walk/checks/strike";
import { tileAt, wallFile } from "./walls";

const wide = { ...tileAt("4.1"), id: "4.1x2x1", w: 2 };
const tiles = [...["1.1", "2.1", "3.1"].map((id) => tileAt(id)), wide, tileAt("6.1")];
const file = { ...wallFile({ tiles }), columns: 6 };

describe("columns that come down", () => {
  it("are columns that the wall has, the smaller first", () => {
    expect(columnsOf(file, "2", " 4 ")).toEqual({ first: 2, last: 4 });
    expect(columnsOf(file, "6", "6")).toEqual({ first: 6, last: 6 });
    for (const [from, to] of [
      ["4", "7"],
      ["0", "3"],
      ["8", "20"],
      ["", "3"],
      ["1", ""],
      ["-1", "3"],
      ["1.5", "3"],
      ["1e0", "3"],
      ["one", "3"],
    ] as const)
      expect(columnsOf(file, from, to), `${from} to ${to}`).toBe("columns_outside");
    expect(columnsOf(file, "4", "2")).toBe("columns_order");
  });

  it("take the tiles that lie in them whole", () => {
    expect(tilesWithin(file, { first: 2, last: 4 })).toEqual(["2.1", "3.1"]);
    expect(tilesWithin(file, { first: 4, last: 5 })).toEqual(["4.1x2x1"]);
    expect(tilesWithin(file, { first: 5, last: 5 })).toEqual([]);
  });

  it("are told from the tiles of an entry, in runs; not where the plan has other tiles by now", () => {
    expect(columnsWith(file, ["1.1", "2.1", "4.1x2x1"])).toEqual([
      { first: 1, last: 2 },
      { first: 4, last: 5 },
    ]);
    expect(columnsWith(file, ["6.1"])).toEqual([{ first: 6, last: 6 }]);
    expect(columnsWith(file, ["1.1", "9.9"])).toEqual([]);
    expect(columnsWith(file, [])).toEqual([]);
  });
});
