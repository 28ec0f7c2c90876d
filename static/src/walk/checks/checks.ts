/** The frozen checks file, as the server made it (server/seamwalk/domain/frozen.py). */

import { at } from "../../book/must";
import checkKinds from "./kinds.json";
import type { Limits } from "./procedures";

export interface Check {
  id: string;
  kind: string;
  expect: string;
  tiles: string[];
  procedure: string;
  structural: boolean;
}

export interface Stop {
  place: string;
  column: number;
  row: number;
  /** Positions in `checks`. */
  checks: number[];
}

export interface Walk {
  key: string;
  stops: Stop[];
}

export interface Tile {
  id: string;
  column: number;
  row: number;
  w: number;
  h: number;
  type: string;
}

/** Circuits and data runs by the positions of their tiles, from the feed on. */
export interface Cables {
  circuits: { line: string | null; tiles: number[] }[];
  runs: number[][];
  backup_ports: number[] | null;
}

export interface ChecksFile {
  v: 1;
  wall: string;
  title: string;
  columns: number;
  rows: number;
  bends_deg: number[];
  support: string;
  tiles: Tile[];
  checks: Check[];
  walks: Walk[];
  touches: Record<string, Record<string, number[]>>;
  /** Files of older plans have none of what follows. */
  cables?: Cables;
  types?: Record<string, TileType>;
  /** What readings of the whole wall are held to; null where nobody has said. */
  limits?: Limits;
  /** What the planning named: rows without a clamp, columns without a support. */
  warnings?: string[];
}

export interface TileType {
  features: string[];
  modules: { columns: number; rows: number };
  pixels: { width: number; height: number };
  limits: Limits;
}

/** Read a frozen file; what its kinds hold in common is put at each check. Older files have it there already. */
export function readChecksFile(text: string): ChecksFile {
  const file = JSON.parse(text);
  const kinds: Record<string, Pick<Check, "procedure" | "structural">> = file.kinds ?? {};
  for (const check of file.checks) Object.assign(check, kinds[check.kind]);
  return file;
}

/** Taking down is no part of what a built wall is signed for. */
export const STRIKE = "strike";
const STRIKE_KINDS: string[] = checkKinds.strike;

/** Whether a check is one of taking down, by the kind that its id ends in. */
export function isOfStrike(check: string): boolean {
  return STRIKE_KINDS.includes(check.slice(check.lastIndexOf("/") + 1).split(":")[0] ?? "");
}

/** The checks that a built wall is signed for, in their order. */
export function signable(file: ChecksFile): Check[] {
  return file.checks.filter(({ id }) => !isOfStrike(id));
}

/** The checks of a stop. */
export function checksAt(file: ChecksFile, stop: Stop): Check[] {
  return stop.checks.map((index) => at(file.checks, index));
}

/** The checks that a swap of a part of a tile reopens. */
export function touchedBy(file: ChecksFile, part: string, tile: string): Check[] {
  return (file.touches[part]?.[tile] ?? []).map((index) => at(file.checks, index));
}

/** Stops of a walk that stand in the same column as the given one. */
export function columnStops(walk: Walk, stop: Stop): Stop[] {
  return walk.stops.filter((other) => other.column === stop.column);
}
