import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  NOTHING_SEEN,
  type Seen,
  type Span,
  type Strip,
  seenMore,
  unseen,
  wayOn,
  wholly,
} from "../../static/src/walk/checks/seen";

const view: Span = { top: 100, bottom: 300 };
const strip = (id: string, top: number, height: number): Strip => ({ id, top, bottom: top + height });

describe("what was on the screen", () => {
  it("is led to from its top where the view has room for it, else a little above where it was seen to", () => {
    const cut = [strip("a", 100, 150), strip("b", 250, 80)];
    expect(wayOn(seenMore(NOTHING_SEEN, cut, view), cut, view)).toBe(150);
    const tall = [strip("a", 250, 500)];
    expect(wayOn(seenMore(NOTHING_SEEN, tall, view), tall, view)).toBe(170);
  });

  it("is what lies wholly in the view", () => {
    const strips = [strip("a", 100, 80), strip("b", 180, 80), strip("c", 260, 80)];
    const seen = seenMore(NOTHING_SEEN, strips, view);
    expect(unseen(seen, ["a", "b", "c"])).toEqual(["c"]);
  });

  it("is nothing that a bar covers by more than a pixel", () => {
    expect(unseen(seenMore(NOTHING_SEEN, [strip("a", 221, 80)], view), ["a"])).toEqual([]);
    expect(unseen(seenMore(NOTHING_SEEN, [strip("a", 223, 80)], view), ["a"])).toEqual(["a"]);
  });

  it("stays seen when it is scrolled away", () => {
    const seen = seenMore(NOTHING_SEEN, [strip("a", 100, 80)], view);
    expect(seenMore(seen, [strip("a", -400, 80)], view)).toBe(seen);
  });

  it("takes what is taller than the view from its top down", () => {
    let seen = seenMore(NOTHING_SEEN, [strip("a", 100, 350)], view);
    expect(unseen(seen, ["a"])).toEqual(["a"]);
    expect(unseen(seenMore(seen, [strip("a", -260, 350)], view), ["a"])).toEqual(["a"]);
    seen = seenMore(seen, [strip("a", -90, 350)], view);
    expect(unseen(seenMore(seen, [strip("a", -60, 350)], view), ["a"])).toEqual([]);
  });

  it("does not put halves together of what fits into the view", () => {
    const seen = seenMore(NOTHING_SEEN, [strip("a", 260, 80)], view);
    expect(unseen(seenMore(seen, [strip("a", 60, 80)], view), ["a"])).toEqual(["a"]);
  });

  it("does not take the lower end first", () => {
    const seen = seenMore(NOTHING_SEEN, [strip("a", -100, 350)], view);
    expect(unseen(seen, ["a"])).toEqual(["a"]);
  });

  it("forgets halves when everything is laid out anew", () => {
    const seen = seenMore(NOTHING_SEEN, [strip("a", 100, 50), strip("b", 150, 350)], view);
    expect([...wholly(seen).keys()]).toEqual(["a"]);
  });

  it("shows nothing of what has no height, nor in a view without any", () => {
    expect(seenMore(NOTHING_SEEN, [strip("a", 150, 0)], view)).toBe(NOTHING_SEEN);
    expect(seenMore(NOTHING_SEEN, [strip("a", 100, 50)], { top: 100, bottom: 100 })).toBe(NOTHING_SEEN);
  });

  it("is all seen by whoever follows the way on, whatever the heights, and nothing before it was there", () => {
    const heights = fc.array(fc.integer({ min: 1, max: 900 }), { minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(heights, fc.integer({ min: 40, max: 700 }), (tall, high) => {
        const total = tall.reduce((sum, height) => sum + height, 0);
        const ids = tall.map((_, i) => `${i}`);
        const frame = { top: 50, bottom: 50 + high };
        let scrolled = 0;
        let seen: Seen = NOTHING_SEEN;
        const shown = tall.map(() => new Set<number>());
        for (let taps = 0; ; taps++) {
          let top = frame.top - scrolled;
          const strips = tall.map((height, i) => {
            const made = strip(`${i}`, top, height);
            top += height;
            return made;
          });
          seen = seenMore(seen, strips, frame);
          strips.forEach(({ top: from, bottom }, i) => {
            for (let px = from; px < bottom; px++)
              if (px >= frame.top && px < frame.bottom) shown[i]?.add(px - from);
          });
          // Whatever counts as seen was there, pixel by pixel, but for the slack of its last one.
          for (const i of ids.filter((id) => unseen(seen, [id]).length === 0).map(Number))
            expect(shown[i]?.size).toBeGreaterThanOrEqual((tall[i] ?? 0) - 2);
          if (unseen(seen, ids).length === 0) break;
          expect(taps).toBeLessThan(400);
          const on = wayOn(seen, strips, frame);
          expect(on).toBeGreaterThan(0);
          scrolled = Math.min(scrolled + on, Math.max(0, total - high));
        }
      }),
    );
  });
});
