/**
 * What a wall's checks file says of order: what is to be ok before a check's turn comes, what a stop holds, what a fault
 * opens again. Files of version 1 say none of it, and hold nothing.
 */

import type { Act, Fold } from "../../book/findings";
import { at } from "../../book/must";
import type { FrozenOrder } from "../files";
import { dutyOf } from "../findings/in_the_way";
import { firstOf, standsAs } from "../findings/second_look";
import type { Records } from "../show/records";
import { type Check, type ChecksFile, checksAt, isOfStrike, kindOf, type Stop } from "./checks";

/** What is asked of a show here. */
interface Known {
  fold: Fold;
  records: Records;
}

/** A stop that holds a part of a wall: its fault, where it is, and whose word lets the crew go on. */
export interface Hold {
  fault: Act;
  check: string;
  duty: string;
}

/** What checks are ahead of, so far as this phone knows. */
export interface Before {
  /** Ids of checks that are to be ok before. */
  missing: string[];
  /** Stops that hold the place. */
  holds: Hold[];
  /** Whether it comes down and nobody has opened the strike there. */
  notOpened: boolean;
}

interface Index {
  position: Map<string, number>;
  /** By position: the groups that are to be ok before. */
  before: Map<number, number[][]>;
  /** By position: what a fault there opens again. */
  opens: Map<number, number[]>;
  /** By position: what it rests on. */
  under: Map<number, number[]>;
}

const INDEXES = new WeakMap<ChecksFile, Index>();
/** By position: the columns that a check stands in; they are asked for where something is stopped. */
const COLUMNS = new WeakMap<ChecksFile, Map<number, Set<number>>>();

function indexOf(file: ChecksFile): Index {
  const known = INDEXES.get(file);
  if (known) return known;
  const made: Index = {
    position: new Map(file.checks.map(({ id }, position) => [id, position])),
    before: new Map(),
    opens: new Map(),
    under: new Map(),
  };
  for (const { before, after } of file.turns ?? []) for (const one of after) push(made.before, one, before);
  for (const order of file.rests ?? []) addResting(made, order);
  INDEXES.set(file, made);
  return made;
}

function addResting({ opens, under }: Index, { before, after }: FrozenOrder): void {
  for (const one of before) opens.set(one, [...(opens.get(one) ?? []), ...after]);
  for (const one of after) under.set(one, [...(under.get(one) ?? []), ...before]);
}

function push<T>(lists: Map<number, T[]>, key: number, value: T): void {
  const list = lists.get(key);
  if (list) list.push(value);
  else lists.set(key, [value]);
}

function columnsIn(file: ChecksFile): Map<number, Set<number>> {
  const columns = COLUMNS.get(file) ?? columnsOf(file);
  COLUMNS.set(file, columns);
  return columns;
}

/** The columns of each check: of its tiles, of its stop, and of a bar all that are joined to it. */
function columnsOf(file: ChecksFile): Map<number, Set<number>> {
  const ofTile = new Map(
    file.tiles.map(({ id, column, w }) => [id, Array.from({ length: w }, (_, i) => column + i)]),
  );
  const found = new Map<number, Set<number>>();
  const ofBar = new Map<string, Set<number>>();
  for (const stop of file.walks.flatMap(({ stops }) => stops)) {
    for (const position of stop.checks) {
      const columns = at(file.checks, position).tiles.flatMap((tile) => ofTile.get(tile) ?? []);
      found.set(position, new Set(columns.length > 0 ? columns : [stop.column]));
    }
  }
  file.checks.forEach(({ id }, position) => {
    const [, kind, bar = ""] = id.split("/");
    if (kind === "base" || kind === "hang") {
      const columns = ofBar.get(bar) ?? new Set();
      for (const column of found.get(position) ?? []) columns.add(column);
      ofBar.set(bar, columns);
    }
  });
  file.checks.forEach(({ id }, position) => {
    const [, kind, bar = ""] = id.split("/");
    const columns = kind === "bar" ? ofBar.get(bar) : undefined;
    if (columns !== undefined) found.set(position, columns);
  });
  return found;
}

/** The ids of the checks that a fault at these opens again. */
export function openedBy(file: ChecksFile, checks: string[]): string[] {
  const { position, opens } = indexOf(file);
  const own = new Set(checks);
  const found = checks.flatMap((check) => opens.get(position.get(check) ?? -1) ?? []);
  return [...new Set(found)].map((one) => at(file.checks, one).id).filter((id) => !own.has(id));
}

/** The stops of a wall that nobody whose duty it is has let go on, in the order of its checks. */
export function holdsOf(show: Known, file: ChecksFile): Hold[] {
  if (file.v === 1 || show.fold.stopped().size === 0) return [];
  const { position } = indexOf(file);
  const stopped = [...show.fold.stopped()].filter((check) => position.has(check));
  return stopped
    .sort((a, b) => (position.get(a) ?? 0) - (position.get(b) ?? 0))
    .flatMap((check) => {
      const duty = dutyOf(file, check);
      return show.fold.unreleased(check, duty).map((fault) => ({ fault, check, duty }));
    });
}

/**
 * Whether a stop holds a check: what hangs on its place or carries it, but what mends it, another person's look at it,
 * and what makes safe.
 */
export function isHeld(file: ChecksFile, hold: Hold, check: Check): boolean {
  if (isAlwaysOpen(file, check.id) || isOfMending(hold, check.id)) return false;
  const index = indexOf(file);
  const [there, here] = [index.position.get(hold.check), index.position.get(check.id)].map(
    (one) => one ?? -1,
  );
  if (hold.duty === "mains") return isOnSameSupply(at(file.checks, there ?? -1), check);
  const columns = columnsIn(file);
  const stopped = columns.get(there ?? -1);
  return [...(columns.get(here ?? -1) ?? [])].some((column) => stopped?.has(column));
}

/** The checks that the fault itself is of, and the second looks that it opened again. */
function isOfMending({ check, fault }: Hold, id: string): boolean {
  if (id === check) return true;
  return fault.checks.includes(id) && (!fault.reopens.has(id) || firstOf(id) !== null);
}

/** What is fed by the circuit of a stop; a stop at the feed holds all that is switched on. */
function isOnSameSupply(stop: Check, { kind, tiles }: Check): boolean {
  if (!["circuit", "signal", "backup", "heat", "picture"].includes(kind)) return false;
  return stop.tiles.length === 0 || tiles.some((tile) => stop.tiles.includes(tile));
}

function isAlwaysOpen(file: ChecksFile, check: string): boolean {
  return file.kinds[kindOf(check)]?.always === true;
}

/** The checks of a file by their ids, in the order given; ids that it does not have are left out. */
export function checksNamed(file: ChecksFile, ids: string[]): Check[] {
  const { position } = indexOf(file);
  return ids.flatMap((id) => file.checks[position.get(id) ?? -1] ?? []);
}

/** What stands of a wall, whichever of its checks is asked about. */
interface Standing {
  holds: Hold[];
  /** What the strike is open for: ids of tiles, null for the whole wall. */
  opened: (string[] | null)[];
}

function standingOf(show: Known, wall: string, file: ChecksFile): Standing {
  return { holds: holdsOf(show, file), opened: openedFor(show, wall) };
}

/** What these checks are ahead of, beside what one tap answers with them. */
export function beforeOf(show: Known, wall: string, file: ChecksFile, checks: Check[]): Before {
  return before(show, file, checks, standingOf(show, wall, file));
}

function before(show: Known, file: ChecksFile, checks: Check[], { holds, opened }: Standing): Before {
  const open = checks.filter(({ id }) => !isAlwaysOpen(file, id));
  return {
    missing: missingFor(show, file, open),
    holds: holds.filter((hold) => open.some((check) => isHeld(file, hold, check))),
    notOpened: file.v !== 1 && open.some((check) => isOfStrike(check.id) && !isOpened(opened, check)),
  };
}

/** Those of some checks whose turn has come, given that one tap answers all of them together. */
export function dueAmong(show: Known, wall: string, file: ChecksFile, checks: Check[]): Check[] {
  return dueThen(show, file, checks, standingOf(show, wall, file));
}

function dueThen(show: Known, file: ChecksFile, checks: Check[], standing: Standing): Check[] {
  const own = new Set(checks.map(({ id }) => id));
  const isThere = (id: string) => own.has(id) && show.fold.state(id).state !== "fault";
  return checks.filter((check) => {
    const alone = before(show, file, [check], standing);
    return !isAhead({ ...alone, missing: alone.missing.filter((id) => !isThere(id)) });
  });
}

/**
 * Whether the turn of something at a stop has come that is to be looked at; a fault is to be mended. What stands of the
 * wall is asked once for all stops: do not keep the answer.
 */
export function stopsDue(show: Known, wall: string, file: ChecksFile): (stop: Stop) => boolean {
  const standing = standingOf(show, wall, file);
  const isOpen = ({ id }: Check) => !["ok", "fault"].includes(standsAs(show.fold, id).state);
  return (stop) => dueThen(show, file, checksAt(file, stop).filter(isOpen), standing).length > 0;
}

/** Whether checks are ahead of their turn. */
export function isAhead({ missing, holds, notOpened }: Before): boolean {
  return missing.length > 0 || holds.length > 0 || notOpened;
}

function missingFor(show: Known, file: ChecksFile, checks: Check[]): string[] {
  const { position, before, under } = indexOf(file);
  const own = new Set(checks.map(({ id }) => position.get(id)));
  const stateOf = (one: number) => standsAs(show.fold, at(file.checks, one).id).state;
  const needed = new Set<number>();
  for (const check of own) {
    for (const group of before.get(check ?? -1) ?? []) for (const one of group) needed.add(one);
    for (const one of under.get(check ?? -1) ?? []) if (stateOf(one) === "fault") needed.add(one);
  }
  return [...needed]
    .filter((one) => stateOf(one) !== "ok" && (!own.has(one) || stateOf(one) === "fault"))
    .sort((a, b) => a - b)
    .map((one) => at(file.checks, one).id);
}

/** The checks of a wall where the strike is open: of its tiles, or all of them. */
export function comingDown(show: Known, wall: string, file: ChecksFile): Set<string> {
  const opened = openedFor(show, wall);
  const isDown = ({ tiles }: Check) =>
    opened.some((marked) => marked === null || tiles.some((tile) => marked.includes(tile)));
  return new Set(opened.length > 0 ? file.checks.filter(isDown).map(({ id }) => id) : []);
}

function openedFor(show: Known, wall: string): Standing["opened"] {
  return show.records.opened(wall).map(({ body }) => body.tiles ?? null);
}

/** Whether the strike was opened for the wall, or for all tiles of a check. */
function isOpened(opened: Standing["opened"], { tiles }: Check): boolean {
  return opened.some(
    (marked) => marked === null || (tiles.length > 0 && tiles.every((tile) => marked.includes(tile))),
  );
}
