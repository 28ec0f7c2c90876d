import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { clockAhead } from "../../static/src/sync/api";
import { isClockOff, lengthInWords, timeInWords } from "../../static/src/walk/show/times";

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

describe("a phone's clock", () => {
  // RFC 9110, 5.6.7: an example of an IMF-fixdate
  const DATE = "Sun, 06 Nov 1994 08:49:37 GMT";
  const WRITTEN = Date.UTC(1994, 10, 6, 8, 49, 37);
  const DAY_MS = 86_400_000;

  it("is not called wrong for the seconds that an answer takes and for those that its date leaves out", () => {
    expect(clockAhead(DATE, WRITTEN - 30_000, WRITTEN)).toBe(0);
    expect(clockAhead(DATE, WRITTEN + 1000, WRITTEN + 40_000)).toBe(0);
  });

  it("is ahead or behind by what is certain", () => {
    expect(clockAhead(DATE, WRITTEN + DAY_MS, WRITTEN + DAY_MS + 5000)).toBe(DAY_MS - 1000);
    expect(clockAhead(DATE, WRITTEN - DAY_MS - 5000, WRITTEN - DAY_MS)).toBe(-DAY_MS);
  });

  it("is not judged by an answer without a date", () => {
    expect(clockAhead(null, WRITTEN, WRITTEN)).toBe(null);
    expect(clockAhead("yesterday", WRITTEN, WRITTEN)).toBe(null);
    expect(isClockOff(null)).toBe(false);
  });

  it("is off from two minutes on, both ways", () => {
    expect([119_999, -119_999].some(isClockOff)).toBe(false);
    expect([120_000, -120_000].every(isClockOff)).toBe(true);
  });

  it("is off by as much as people say", () => {
    expect(lengthInWords(-3 * DAY_MS - 4000, "en-GB")).toBe("3 days");
    expect(lengthInWords(3 * DAY_MS, "de")).toBe("3 Tage");
    expect(lengthInWords(DAY_MS, "en-GB")).toBe("24 hours");
    expect(lengthInWords(150_000, "de")).toBe("3 Minuten");
  });
});
