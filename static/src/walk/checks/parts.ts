/** Parts of a wall that can be changed: where each sits, and at which check it is told when that fails. */

import { KINDS } from "../../scan/codes";
import { type Check, type ChecksFile, touchedBy } from "./checks";
import { placeOf } from "./places";
import type { SwapPart } from "./procedures";

const LABELLED: readonly string[] = Object.values(KINDS);

/** Whether a part may have a label of its own. */
export function isLabelled(part: SwapPart): boolean {
  return LABELLED.includes(part);
}

/** Where the part of a tile sits: at the tile, at the circuit that feeds it, at its column's support; null where it has none. */
export function whereOf(file: ChecksFile, part: SwapPart, tile: string): string | null {
  const found = file.tiles.find(({ id }) => id === tile);
  const columns = Array.from({ length: found?.w ?? 0 }, (_, i) => `support/${(found?.column ?? 0) + i}`);
  const circuits = file.checks.filter(({ kind, tiles }) => kind === "circuit" && tiles.includes(tile));
  const places = [tile, ...circuits.map(({ id }) => placeOf(id)), ...columns];
  return places.find((place) => file.touches[part]?.[place] !== undefined) ?? null;
}

/** The tiles of a place, as its checks have them. */
export function tilesAt(file: ChecksFile, place: string): string[] {
  return file.checks.find(({ id }) => placeOf(id) === place)?.tiles ?? [];
}

/** What a change that ended in a fault is told at: a check of this kind, where the wall has one. */
const TOLD_AT: Record<SwapPart, string> = {
  module: "picture",
  electronics_unit: "picture",
  tile: "picture",
  power_link: "circuit",
  outlet: "circuit",
  data_link: "signal",
  ballast: "ballast",
};

/** The parts in the order in which they are asked for: what breaks most first. */
export const PARTS_IN_ORDER = Object.keys(TOLD_AT);

/** The check that a fault of a change is of, among those that the change touches. */
export function faultyAt(file: ChecksFile, part: SwapPart, where: string): Check | undefined {
  const touched = touchedBy(file, part, where);
  return touched.find(({ kind }) => kind === TOLD_AT[part]) ?? touched[0];
}
