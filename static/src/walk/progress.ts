/** Where a walk stands: counts, the next stop, and whether the pace can be a person's. */

import type { KeptEntry } from "../book/entry";
import type { Fold } from "../book/findings";
import { type ChecksFile, checksAt, type Stop, type Walk } from "./checks";

export type Counts = Record<"fault" | "reopened" | "open" | "not_reached" | "ok", number>;

/** Less than this for one place is a pace no one can walk; common practice, no source. */
export const SECONDS_PER_PLACE = 1.5;

export function count(fold: Fold, ids: string[]): Counts {
  const counts: Counts = { fault: 0, reopened: 0, open: 0, not_reached: 0, ok: 0 };
  for (const id of ids) counts[fold.state(id).state] += 1;
  return counts;
}

export function idsOf(file: ChecksFile, walk: Walk): string[] {
  return walk.stops.flatMap((stop) => checksAt(file, stop).map((check) => check.id));
}

export function isDone(fold: Fold, file: ChecksFile, stop: Stop): boolean {
  return checksAt(file, stop).every((check) => fold.state(check.id).state === "ok");
}

/** The first stop at or after `from` that is not done, going round once; null when all are. */
export function nextOpen(fold: Fold, file: ChecksFile, walk: Walk, from: number): number | null {
  for (let step = 0; step < walk.stops.length; step++) {
    const index = (from + step) % walk.stops.length;
    if (!isDone(fold, file, walk.stops[index] as Stop)) return index;
  }
  return null;
}

/** Own oks that cover more places than anybody can look at since the device's entry before: ids. */
export function tooFast(entries: KeptEntry[]): string[] {
  const before = new Map<string, number>();
  const found: string[] = [];
  for (const entry of [...entries].sort((a, b) => a.n - b.n)) {
    const at = Date.parse(entry.at);
    const last = before.get(entry.device);
    before.set(entry.device, at);
    if (entry.type !== "found" || entry.body.result !== "ok" || last === undefined) continue;
    const places = new Set(entry.body.checks.map((check: string) => check.slice(0, check.lastIndexOf("/"))));
    if (places.size > 1 && (at - last) / 1000 < places.size * SECONDS_PER_PLACE) found.push(entry.id);
  }
  return found;
}
