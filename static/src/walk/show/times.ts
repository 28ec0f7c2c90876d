/** Times as people say them. */

/**
 * A moment at the clock of this phone: the time of day, and the day before it when it is not `today`'s. A text that is
 * no time is returned unchanged. `zone` is a name as in the IANA's database; the phone's own without.
 */
export function timeInWords(iso: string, today: Date, language: string, zone?: string): string {
  const moment = new Date(iso);
  if (Number.isNaN(moment.getTime())) return iso;
  if (zone === undefined && moment.toDateString() === today.toDateString()) return timeOfDay(moment);
  const timeZone = zone === undefined ? {} : { timeZone: zone };
  const whole = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" } as const;
  const time = moment.toLocaleTimeString(language, { ...whole, ...timeZone });
  const shown = (date: Date, as: Intl.DateTimeFormatOptions) =>
    date.toLocaleDateString(language, { ...as, ...timeZone });
  const [day, year] = [{ day: "numeric", month: "short" } as const, { year: "numeric" } as const];
  if (shown(moment, { ...day, ...year }) === shown(today, { ...day, ...year })) return time;
  const isThisYear = shown(moment, year) === shown(today, year);
  return `${shown(moment, { weekday: "short", ...day, ...(isThisYear ? {} : year) })}, ${time}`;
}

/** By this phone's clock. Formats of the browser's own say the same, but the first one costs a tenth of a start. */
function timeOfDay(moment: Date): string {
  return [moment.getHours(), moment.getMinutes()].map((part) => String(part).padStart(2, "0")).join(":");
}

/** A moment in full, as somebody compares it with another clock. */
export function dayAndTime(moment: Date, language: string): string {
  return moment.toLocaleString(language, { dateStyle: "full", timeStyle: "short" });
}

const MINUTE_MS = 60_000;
/** A clock that is set by the network is right within seconds (common practice, no source). */
const CLOCK_OFF_MS = 2 * MINUTE_MS;

/** Whether a phone's clock is so far from its server's that somebody should set it. */
export function isClockOff(aheadMs: number | null): boolean {
  return Math.abs(aheadMs ?? 0) >= CLOCK_OFF_MS;
}

/** A length of time in its largest unit, as in "3 days"; at least a minute. */
export function lengthInWords(ms: number, language: string): string {
  const minutes = Math.max(1, Math.round(Math.abs(ms) / MINUTE_MS));
  const [count, unit] =
    minutes >= 48 * 60
      ? [Math.round(minutes / (24 * 60)), "day"]
      : minutes >= 120
        ? [Math.round(minutes / 60), "hour"]
        : [minutes, "minute"];
  return new Intl.NumberFormat(language, { style: "unit", unit, unitDisplay: "long" }).format(count);
}
