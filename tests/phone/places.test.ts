/** Places and checks in words, as the office says them too. */

import { describe, expect, it } from "vitest";
import { translator } from "../../static/src/texts";
import { inFull } from "../../static/src/walk/checks/places";
import words from "../vectors/places.json";

const t = translator("en");

describe("a check in words", () => {
  it.each(words as [string, string][])("%s", (check, said) => {
    expect(inFull(t, check)).toBe(said);
  });

  it("stays as it is written where no plan of this edition has it", () => {
    for (const odd of ["A/x/y/z:1", "A/tile/1.1/of_a_later_edition:x", "A/bar/x9/level:true"]) {
      expect(inFull(t, odd)).toBe(odd);
    }
  });

  it("is in German too", () => {
    expect(inFull(translator("de"), "A/bar/h3/joined:h1")).toBe(
      "Hängeschiene ab Spalte 3 · Verbunden mit: Hängeschiene ab Spalte 1",
    );
  });
});
