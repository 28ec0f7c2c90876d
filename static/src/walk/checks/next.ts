/**
 * Where somebody should go on: to the own stretch of what was shared out; to rows that are finished and wait for the
 * second look that only somebody else than who looked first may give; then walk by walk in the order of the day, past
 * other people's stretches while there is anything else; then to faults, the worst first. Nobody is sent ahead of
 * their turn, and a wall that comes down asks for nothing else.
 */

import { type Fold, rank } from "../../book/findings";
import { at } from "../../book/must";
import { firstOf } from "../findings/second_look";
import type { Show } from "../show/show";
import { type ChecksFile, checksAt, STRIKE, type Stop, type Walk } from "./checks";
import { stopsDue } from "./order";
import { type Ask, askingOf } from "./progress";
import { mayWalk, type Part } from "./sharing";

/** A stop to go to, and for what. */
export interface Next {
  wall: string;
  walk: Walk;
  index: number;
  why: "share" | "second" | "look" | "mend";
}

const SECOND = "second_look";

/** A walk of a wall with what each of its stops asks of somebody. */
interface Asking {
  wall: string;
  walk: Walk;
  file: ChecksFile;
  asks: (index: number) => Ask;
  isDue: (stop: Stop) => boolean;
  parts: Part[];
}

/** Where whoever holds this phone should go on, at best on the wall named `first`; null where nothing is left to do. */
export function nextFor(show: Show, first: string | null): Next | null {
  if (!mayWalk(show.membership.role)) return null;
  const me = show.me();
  const walks = wallsFrom(show, first).flatMap((wall) => askingOn(show, wall, me));
  return (
    find(walks, "share", (at, i) => isIn(at.parts, i, (who) => who === me) && isTurn(at, i)) ??
    find(walks, "second", (at, i) => isFinishedRow(show.fold, at, i) && isTurn(at, i)) ??
    find(walks, "look", (at, i) => !isIn(at.parts, i, (who) => who !== me) && mayGoOn(at, i)) ??
    find(walks, "look", (at, i) => mayGoOn(at, i)) ??
    worstFault(show.fold, walks)
  );
}

function wallsFrom(show: Show, first: string | null): string[] {
  const walls = [...show.plans.keys()].sort();
  return first !== null && walls.includes(first) ? [first, ...walls.filter((wall) => wall !== first)] : walls;
}

function askingOn(show: Show, wall: string, me: string): Asking[] {
  const file = show.fileOf(wall);
  if (file === null) return [];
  const opened = show.records.opened(wall);
  const isOver = opened.some(({ body }) => (body.tiles ?? null) === null);
  const isDue = stopsDue(show, wall, file);
  const walks = file.walks.filter((walk) =>
    walk.key === STRIKE ? opened.length > 0 || hasBegun(show.fold, file, walk) : !isOver,
  );
  return walks.map((walk) => ({
    wall,
    walk,
    file,
    asks: askingOf(show.fold, file, walk, me),
    isDue,
    parts: show.records.sharing(wall, walk.key)?.body.parts ?? [],
  }));
}

/** Whether anybody has looked at anything of a walk. */
function hasBegun(fold: Fold, file: ChecksFile, walk: Walk): boolean {
  return walk.stops.some((stop) => checksAt(file, stop).some(({ id }) => fold.state(id).state !== "open"));
}

function find(walks: Asking[], why: Next["why"], fits: (at: Asking, index: number) => boolean): Next | null {
  for (const at of walks) {
    const index = at.walk.stops.findIndex((_, i) => fits(at, i));
    if (index >= 0) return { wall: at.wall, walk: at.walk, index, why };
  }
  return null;
}

function isIn(parts: Part[], index: number, whose: (person: string) => boolean): boolean {
  return parts.some(({ person, first, last }) => whose(person) && index >= first && index <= last);
}

/** Whether a stop asks for a look whose turn has come. */
function isTurn({ walk, asks, isDue }: Asking, index: number): boolean {
  return asks(index) === "look" && isDue(at(walk.stops, index));
}

/** Second looks wait for their whole row. */
function mayGoOn(asking: Asking, index: number): boolean {
  return asking.walk.key !== SECOND && isTurn(asking, index);
}

/** Whether everything that a second look rests on was found shut. */
function isFinishedRow(fold: Fold, { walk, file }: Asking, index: number): boolean {
  const checks = checksAt(file, at(walk.stops, index));
  return walk.key === SECOND && checks.every(({ id }) => fold.state(firstOf(id) ?? id).state === "ok");
}

function worstFault(fold: Fold, walks: Asking[]): Next | null {
  let worst: (Next & { weight: number }) | null = null;
  for (const { wall, walk, file, asks } of walks) {
    for (const [index, stop] of walk.stops.entries()) {
      const weight = asks(index) === "mend" ? weightOf(fold, file, stop) : 0;
      if (weight > (worst?.weight ?? 0)) worst = { wall, walk, index, why: "mend", weight };
    }
  }
  return worst;
}

function weightOf(fold: Fold, file: ChecksFile, stop: Stop): number {
  return Math.max(...checksAt(file, stop).map(({ id }) => rank(fold.state(id))));
}
