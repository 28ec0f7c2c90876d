import { describe, expect, it } from "vitest";
import {
  boxOfView,
  cellPx,
  firstView,
  fromBehind,
  magnified,
  moved,
  nearest,
  numbered,
  seenOf,
  TARGET_PX,
  whole,
  zoomed,
} from "../../static/src/ui/map_view";

const wall = { columns: 9, rows: 5 };
const size = { w: 374, h: 280 };
const joint = { x: 3.86, y: 1.1, w: 0.28, h: 0.8 };

describe("the part of a map that is shown", () => {
  it("is the whole wall with its numbers at first", () => {
    const { x, y, w, h } = boxOfView(wall, whole(wall));
    expect([x, y]).toEqual([expect.closeTo(-0.6), expect.closeTo(-0.6)]);
    expect([w, h]).toEqual([expect.closeTo(10.2), expect.closeTo(6.2)]);
  });

  it("keeps what is under two fingers where it is", () => {
    const at = { x: 2, y: 4 };
    const before = boxOfView(wall, whole(wall));
    const view = zoomed(wall, whole(wall), 2.5, at);
    const after = boxOfView(wall, view);
    expect((at.x - after.x) / after.w).toBeCloseTo((at.x - before.x) / before.w);
    expect((at.y - after.y) / after.h).toBeCloseTo((at.y - before.y) / before.h);
  });

  it("never grows smaller than whole, nor leaves the wall", () => {
    expect(zoomed(wall, whole(wall), 0.3, { x: 1, y: 1 })).toEqual(whole(wall));
    expect(moved(wall, { x: 1, y: 1, scale: 3 }, { x: -50, y: 50 })).toEqual({ x: 0, y: 5, scale: 3 });
    expect(moved(wall, whole(wall), { x: 3, y: 3 })).toEqual(whole(wall));
  });

  it("shows a spot as large as a thumb, and leaves one alone that is", () => {
    const view = magnified(wall, whole(wall), joint, size);
    expect(cellPx(wall, view, size) * joint.w).toBeCloseTo(TARGET_PX);
    expect([view.x, view.y]).toEqual([joint.x + joint.w / 2, joint.y + joint.h / 2]);
    expect(magnified(wall, view, joint, size)).toBe(view);
    const low = { w: 374, h: 120 };
    expect(
      cellPx(wall, magnified(wall, whole(wall), joint, low), low) * joint.h,
      "all of it is seen",
    ).toBeCloseTo(108);
  });

  it("begins a wall too large to be seen at what is lit", () => {
    const long = { columns: 100, rows: 40 };
    const lit = { x: 80, y: 10, w: 1, h: 1 };
    const view = firstView(long, lit, size);
    expect([view.x, view.y]).toEqual([80.5, 10.5]);
    expect(cellPx(long, view, size)).toBeCloseTo(16);
    expect(firstView(wall, lit, size)).toEqual(whole(wall));
    expect(firstView(long, lit, { w: 0, h: 0 })).toEqual(whole(long));
  });

  it("picks what is nearest to a tap, of two around it the smaller", () => {
    const boxes = [{ x: 0, y: 0, w: 9, h: 5 }, joint, { x: 6, y: 1, w: 1, h: 1 }];
    expect(nearest(boxes, { x: 4, y: 1.5 })).toEqual({ index: 1, away: 0 });
    expect(nearest(boxes.slice(1), { x: 5.8, y: 1.5 })?.index).toBe(1);
    expect(nearest([], { x: 1, y: 1 })).toBeNull();
  });

  it("has its numbers where it is seen, whatever room is left beside it", () => {
    const box = { x: 2, y: 1, w: 4, h: 2 };
    expect(seenOf(box, { w: 400, h: 400 }, false)).toEqual({ x: 2, y: -1, w: 4, h: 4 });
    expect(seenOf(box, { w: 800, h: 200 }, false)).toEqual({ x: 2, y: 1, w: 8, h: 2 });
    expect(seenOf(box, { w: 800, h: 200 }, true)).toEqual({ x: -2, y: 1, w: 8, h: 2 });
    expect(seenOf(box, { w: 0, h: 0 }, false)).toBe(box);
    const middles = (from: number, to: number) =>
      numbered(9, from, to, 0.4).map(({ number, middle }) => [number, middle]);
    expect(middles(2, 4)).toEqual([
      [3, 2.5],
      [4, 3.5],
    ]);
    expect(middles(1.5, 3.3), "of a part its middle, of a sliver nothing").toEqual([
      [2, 1.75],
      [3, 2.5],
    ]);
    expect(middles(-3, 20)).toHaveLength(9);
    expect(middles(11, 12)).toEqual([]);
  });

  it("is turned around from behind, and back", () => {
    expect(fromBehind(wall, joint).x).toBeCloseTo(9 - joint.x - joint.w);
    expect(fromBehind(wall, fromBehind(wall, joint)).x).toBeCloseTo(joint.x);
  });
});
