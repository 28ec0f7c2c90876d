import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { timeInWords } from "../../static/src/walk/show/times";

const TODAY = new Date("2026-11-20T22:00:00Z");
const TODAY_HERE = new Date(2026, 10, 20, 12);
const berlin = (iso: string, language = "en-GB") => timeInWords(iso, TODAY, language, "Europe/Berlin");

describe("a time", () => {
  it("of today is the time of day, at the clock on the wall", () => {
    expect(berlin("2026-11-20T21:05:07.123Z")).toBe("22:05");
    expect(berlin("2026-11-20T21:05:07.123Z", "de")).toBe("22:05");
  });

  it("of another day has the day, by the calendar of the same clock", () => {
    expect(berlin("2026-11-20T23:10:00.000Z"), "after midnight there").toBe("Sat 21 Nov, 00:10");
    expect(berlin("2026-11-19T23:10:00.000Z"), "and before it").toBe("00:10");
    expect(berlin("2026-11-19T22:10:00.000Z")).toBe("Thu 19 Nov, 23:10");
    expect(berlin("2026-11-19T22:10:00.000Z", "de")).toBe("Do., 19. Nov., 23:10");
  });

  it("of another year has the year", () => {
    expect(berlin("2025-11-20T21:00:00.000Z")).toMatch(/Nov 2025, 22:00$/);
  });

  it("of today is what the browser's own formats say, at this phone's clock", () => {
    const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 86_399 }), fc.constantFrom("en-GB", "de"), (second, language) => {
        const moment = new Date(2026, 10, 20, 0, 0, second);
        const own = timeInWords(moment.toISOString(), TODAY_HERE, language);
        expect(own).toBe(timeInWords(moment.toISOString(), TODAY_HERE, language, zone));
      }),
    );
  });

  it("that is none is shown as it is written", () => {
    expect(berlin("last night")).toBe("last night");
  });
});
