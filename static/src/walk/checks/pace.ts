/** How long a walk will still take, by the crew's own pace, and how sure that is. */

import type { KeptEntry } from "../../book/entry";

/** A time still to go, in minutes. */
export interface Eta {
  minutes: number;
  /** The true time falls between these with about 80 %, if the crew goes on as it did. */
  from: number;
  to: number;
  /** How many steps of the crew this rests on. */
  seen: number;
}

const LONGEST_STEP_S = 900;
const FEWEST = 5;
/** Two-sided 80 % of the normal distribution (from memory: 1.2816). */
const Z_80 = 1.2816;

/** Seconds between one look of a device and its next, for each place looked at; breaks and papers are left out. */
export function paces(entries: KeptEntry[]): number[] {
  const last = new Map<string, number>();
  const found: number[] = [];
  for (const entry of [...entries].sort((a, b) => a.at.localeCompare(b.at) || a.n - b.n)) {
    if (entry.type !== "found" || entry.body.paper) continue;
    const at = Date.parse(entry.at) / 1000;
    if (Number.isNaN(at)) continue;
    const before = last.get(entry.device);
    last.set(entry.device, at);
    const places = new Set(entry.body.checks.map((check: string) => check.slice(0, check.lastIndexOf("/"))))
      .size;
    if (places === 0) continue;
    if (before === undefined || at <= before || at - before > LONGEST_STEP_S) continue;
    found.push((at - before) / places);
  }
  return found;
}

/**
 * The time for `stops` more stops in a row, as a prediction interval for a sum: the mean's own uncertainty and the
 * spread of single steps, n m -+ z s sqrt(n + n^2/k). Null while too few steps were seen.
 */
export function eta(stops: number, seconds: number[]): Eta | null {
  const k = seconds.length;
  if (k < FEWEST || stops === 0) return null;
  const mean = seconds.reduce((sum, value) => sum + value, 0) / k;
  const variance = seconds.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (k - 1);
  const spread = Z_80 * Math.sqrt(variance * (stops + stops ** 2 / k));
  const [middle, half] = [(stops * mean) / 60, spread / 60];
  return { minutes: middle, from: Math.max(0, middle - half), to: middle + half, seen: k };
}
