/** Checks files of walls that hold no more than a test asks about. */

import type { Check, ChecksFile, Tile } from "../../static/src/walk/checks/checks";

/** A wall of no tiles and no checks, but for what is given. */
export function wallFile(part: Partial<ChecksFile>): ChecksFile {
  return {
    v: 1,
    wall: "A",
    title: "",
    columns: 2,
    rows: 2,
    bends_deg: [0],
    support: "stacked",
    tiles: [],
    checks: [],
    walks: [],
    touches: {},
    kinds: {},
    ...part,
  };
}

/** A tile of one cell at the place that its id says, `column.row`. */
export function tileAt(id: string, type = "a"): Tile {
  const [column, row] = id.split(".").map(Number);
  return { id, column: column ?? 0, row: row ?? 0, w: 1, h: 1, type };
}

/** A check by its id, of the kind that the id ends in. */
export function checkOf(id: string, part: Partial<Check> = {}): Check {
  const [kind = "", expect = ""] = id.slice(id.lastIndexOf("/") + 1).split(":");
  return { id, kind, expect, tiles: [], procedure: "", structural: false, ...part };
}
