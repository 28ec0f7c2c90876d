/** The frozen checks file, as the server made it. */

import { at } from "../../book/must";
import type {
  FrozenCables,
  FrozenCheck,
  ChecksFile as FrozenFile,
  FrozenKind,
  FrozenPlace,
  FrozenStop,
  FrozenTile,
  FrozenTileType,
  FrozenWalk,
} from "../files";
import checkKinds from "./kinds.json";

/** A check with what holds of its kind; its id is `wall/place/kind:expect`. */
export type Check = Required<FrozenCheck>;

/** A stop: what one look takes in, and its checks by their positions in the file. */
export type Stop = FrozenStop;

/** A walk by its key, its stops in walking order. */
export type Walk = FrozenWalk;

/** A tile: its lower left cell, counted from 1, and its size in cells. */
export type Tile = FrozenTile;

/** Circuits and data runs by the positions of their tiles, from the feed on. */
export type Cables = FrozenCables;

/** What holds of every tile of a type; pixels and modules are counts. */
export type TileType = FrozenTileType;

/** A frozen checks file as it is read: each check says what holds of its kind. */
export interface ChecksFile extends Omit<FrozenFile, "checks" | "kinds"> {
  checks: Check[];
  kinds: Record<string, FrozenKind>;
}

/** Read a frozen file; what its kinds hold in common is put at each check. Older files have it there already. */
export function readChecksFile({ kinds = {}, checks, ...file }: FrozenFile): ChecksFile {
  return {
    ...file,
    kinds,
    checks: checks.map((check) => {
      const { procedure, structural } = { procedure: "", structural: false, ...check, ...kinds[check.kind] };
      return { ...check, procedure, structural };
    }),
  };
}

/** Taking down is no part of what a built wall is signed for. */
export const STRIKE = "strike";
const STRIKE_KINDS: string[] = checkKinds.strike;

/** The kind that a check's id ends in. */
export function kindOf(check: string): string {
  return check.slice(check.lastIndexOf("/") + 1).split(":")[0] ?? "";
}

/** Whether a check is one of taking down, by the kind that its id ends in. */
export function isOfStrike(check: string): boolean {
  return STRIKE_KINDS.includes(kindOf(check));
}

const SIGNABLE = new WeakMap<ChecksFile, Check[]>();

/** The checks that a built wall is signed for, in their order. */
export function signable(file: ChecksFile): Check[] {
  const known = SIGNABLE.get(file) ?? file.checks.filter(({ id }) => !isOfStrike(id));
  SIGNABLE.set(file, known);
  return known;
}

/** What is looked at at one place of a stop. */
export interface Place {
  place: string;
  column: number;
  row: number;
  checks: Check[];
}

/** The checks of a stop. */
export function checksAt(file: ChecksFile, stop: Stop): Check[] {
  return stop.checks.map((index) => at(file.checks, index));
}

/** The places of a stop with their checks, in the order in which they are looked at; in older files it is one. */
export function placesAt(file: ChecksFile, stop: Stop): Place[] {
  const checks = checksAt(file, stop);
  let from = 0;
  return placesOf(stop).map(({ count, ...place }) => {
    const here = checks.slice(from, from + count);
    from += count;
    return { ...place, checks: here };
  });
}

/** Several stops as one, under a name of its own. */
export function joined(place: string, stops: Stop[]): Stop {
  const { column, row } = at(stops, 0);
  const checks = stops.flatMap((stop) => stop.checks);
  return { place, column, row, checks, places: stops.flatMap(placesOf) };
}

function placesOf({ place, column, row, checks, places }: Stop): FrozenPlace[] {
  return places ?? [{ place, column, row, count: checks.length }];
}

/** The checks that a swap of a part of a tile reopens. */
export function touchedBy(file: ChecksFile, part: string, tile: string): Check[] {
  return (file.touches[part]?.[tile] ?? []).map((index) => at(file.checks, index));
}

/** Whether a fault of this reason is none of the check itself: of what kind it is then, the file says. */
export function isElsewhere(file: ChecksFile, check: Check, reason: string): boolean {
  return file.kinds[check.kind]?.elsewhere?.[reason] !== undefined;
}

/** The checks of some tiles that such a fault is of; a check that its tile does not have is left out. */
export function checksElsewhere(file: ChecksFile, check: Check, reason: string, tiles: string[]): Check[] {
  const kind = file.kinds[check.kind]?.elsewhere?.[reason];
  return file.checks.filter((one) => one.kind === kind && tiles.includes(one.tiles[0] ?? ""));
}
