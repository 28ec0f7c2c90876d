/** A pass in lines: every check of it once, each line named by what its numbers do not say. */

import { describe, expect, it } from "vitest";
import { translator } from "../../static/src/texts";
import { passLines } from "../../static/src/walk/checks/passes";
import { checkOf, wallFile } from "./walls";

const t = translator("en");

function lines(ids: string[]) {
  const checks = ids.map((id) => checkOf(`A/${id}`));
  const stops = ids.map((id, i) => ({
    place: id.slice(0, id.lastIndexOf("/")),
    column: 1,
    row: 1,
    checks: [i],
  }));
  const walk = { key: "guards", stops };
  return passLines(t, wallFile({ checks, walks: [walk] }), walk);
}

const told = (ids: string[]) =>
  lines(ids).map(({ words, places }) => `${words}: ${places.map(({ label }) => label).join(" ")}`);

describe("a pass", () => {
  it("goes through tiles row by row", () => {
    const ids = ["2.1", "1.1", "1.2", "2.2x1x2"].map((tile) => `tile/${tile}/picture:clean`);
    expect(told(ids)).toEqual(["Row 1, columns: 2 1", "Row 2, columns: 1 2"]);
    expect(lines(ids).flatMap(({ places }) => places.map(({ stop }) => stop))).toEqual([0, 1, 2, 3]);
  });

  it("goes around free edges side by side, inner ones in lines of their own", () => {
    const ids = ["1.1/left", "1.2/left", "3.2/left", "1.2/top", "3.2x2x1/top/1-1"];
    expect(told(ids.map((id) => `free/${id}/guard:out`))).toEqual([
      "Left edge, column 1, rows: 1 2",
      "Left edge, column 3, rows: 2",
      "Top edge, row 2, columns: 1 3 (1-1)",
    ]);
  });

  it("keeps corners apart that should be in and out: a line says one thing of all its places", () => {
    const ids = [
      "corner/1.1/top_left/guard:out",
      "corner/2.1/top_left/guard:in",
      "corner/3.1/top_left/guard:out",
    ];
    expect(told(ids)).toEqual([
      "Top left corners, row 1, columns: 1 3",
      "Top left corners, row 1, columns: 2",
    ]);
  });

  it("names a place that is in no line by its words", () => {
    expect(told(["circuit/2/circuit:live"])).toEqual([": Circuit 2"]);
  });
});
