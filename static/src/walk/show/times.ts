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
