import { describe, expect, it } from "vitest";
import { areasOf, leastWidthOf } from "../../static/src/ui/tile_drawing";

describe("the drawing of a tile", () => {
  it("has no areas that overlap or are too small for a finger, all in the square, and the rear mirrored", () => {
    for (const [columns, rows] of [
      [1, 1],
      [2, 4],
    ] as const) {
      for (const side of ["front", "rear"] as const) {
        const areas = areasOf(side, columns, rows);
        expect(new Set(areas.map(({ part }) => part)).size).toBe(areas.length);
        for (const a of areas) {
          expect(a.x >= 0 && a.y >= 0 && a.x + a.w <= 330 && a.y + a.h <= 330, a.part).toBe(true);
          const over = areas.filter(
            (b) => b !== a && a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h,
          );
          expect(
            over.map(({ part }) => part),
            a.part,
          ).toEqual([]);
        }
      }
    }
    const finest = areasOf("front", 4, 8);
    const px = leastWidthOf(finest) / 330;
    expect(Math.min(...finest.map(({ w, h }) => Math.min(w, h) * px))).toBeGreaterThanOrEqual(48);
    const left = (side: "front" | "rear") =>
      areasOf(side, 1, 1).find(({ part }) => part === "edge:left")?.x ?? -1;
    expect(left("front")).toBeLessThan(100);
    expect(left("rear")).toBeGreaterThan(200);
  });
});
