/** Where a walk stands: counts and the next stop. */

import { type CheckState, type Fold, rank } from "../../book/findings";
import { at } from "../../book/must";
import { maySecond, standsAs } from "../findings/second_look";
import { type ChecksFile, checksAt, type Stop, type Walk } from "./checks";
import type { Part } from "./sharing";

/** How many checks are in each state. */
export type Counts = Record<"fault" | "reopened" | "open" | "not_reached" | "ok", number>;

/** Count the states of checks, given by their ids. */
export function count(fold: Fold, ids: string[]): Counts {
  const counts: Counts = { fault: 0, reopened: 0, open: 0, not_reached: 0, ok: 0 };
  for (const id of ids) counts[standsAs(fold, id).state] += 1;
  return counts;
}

/** The ids of the checks of a walk, in walking order; one at several stops comes as often. */
export function idsOf(file: ChecksFile, walk: Walk): string[] {
  return walk.stops.flatMap((stop) => checksAt(file, stop).map((check) => check.id));
}

/** What a stop still asks of somebody: a look, the mending of a fault, or nothing. */
export type Ask = "look" | "mend" | null;

export function asksFor(fold: Fold, file: ChecksFile, stop: Stop, author: string): Ask {
  const own = checksAt(file, stop).filter((check) => maySecond(fold, check.id, author));
  const states = own.map((check) => standsAs(fold, check.id).state);
  if (states.some((state) => state !== "ok" && state !== "fault")) return "look";
  return states.includes("fault") ? "mend" : null;
}

/** Whom a walk asks, and for which stretch of it. */
export interface Asked {
  author: string;
  /** Somebody's own stretch of a walk that was shared out: it comes first. */
  part: Part | null;
  /** Whether the turn of a stop has come: others are only gone to where nothing else is left. */
  isDue: (stop: Stop) => boolean;
}

/** What each stop of a walk asks of somebody, by its position: worked out for those that are asked about. */
export function askingOf(fold: Fold, file: ChecksFile, walk: Walk, author: string): (index: number) => Ask {
  const known = new Map<number, Ask>();
  return (index) => {
    const ask = known.get(index);
    if (ask !== undefined) return ask;
    const asked = asksFor(fold, file, at(walk.stops, index), author);
    known.set(index, asked);
    return asked;
  };
}

/**
 * The next stop from `from` on, going round once, that asks for a look whose turn has come, else for any, else for
 * mending, within the own stretch before elsewhere; null when none does.
 */
export function nextOpen(
  fold: Fold,
  file: ChecksFile,
  walk: Walk,
  from: number,
  { author, part, isDue }: Asked,
): number | null {
  const asks = askingOf(fold, file, walk, author);
  const isOwn = (index: number) => part === null || (index >= part.first && index <= part.last);
  const isTurn = (index: number) => asks(index) === "look" && isDue(at(walk.stops, index));
  const first = (fits: (index: number) => boolean) => firstAround(walk.stops.length, from, fits);
  return (
    first((index) => isOwn(index) && isTurn(index)) ??
    first((index) => !isOwn(index) && isTurn(index)) ??
    first((index) => isOwn(index) && asks(index) === "look") ??
    first((index) => asks(index) === "look") ??
    first((index) => asks(index) === "mend")
  );
}

/** The first position from `from` on that fits, going round once. */
function firstAround(count: number, from: number, fits: (index: number) => boolean): number | null {
  for (let step = 0; step < count; step += 1) {
    const index = (from + step) % count;
    if (fits(index)) return index;
  }
  return null;
}

/** What shows for several checks: an open one keeps a place from looking done. */
export function worstOf(states: CheckState[]): CheckState {
  const weigh = (state: CheckState) => (state.state === "ok" ? -1 : rank(state));
  return states.reduce((worst, state) => (weigh(state) > weigh(worst) ? state : worst));
}

/** The ids of all checks that touch a tile. */
export function idsOfTile(file: ChecksFile, tile: string): string[] {
  return file.checks.filter(({ tiles }) => tiles.includes(tile)).map(({ id }) => id);
}
