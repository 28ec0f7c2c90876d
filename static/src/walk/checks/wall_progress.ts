/** How far each tile of a wall is: what its picture on the home screen shows. */

import { type Fold, rank } from "../../book/findings";
import { standsAs } from "../findings/second_look";
import { type ChecksFile, signable, type Tile } from "./checks";

/** What is planned to be looked at of a tile and its joints before the show, how much of it is ok, the worst of it. */
export interface TileProgress {
  tile: Tile;
  ok: number;
  of: number;
  worst: "fault" | "reopened" | null;
}

/** The progress of each tile, in the order of the file. A joint counts for both its tiles, strike for none. */
export function tileProgress(fold: Fold, file: ChecksFile): TileProgress[] {
  const all = new Map(file.tiles.map((tile) => [tile.id, { tile, ok: 0, of: 0, rank: 0 }]));
  for (const check of signable(file)) {
    const state = standsAs(fold, check.id);
    for (const id of check.tiles) {
      const progress = all.get(id);
      if (progress === undefined) continue;
      progress.of += 1;
      if (state.state === "ok") progress.ok += 1;
      else progress.rank = Math.max(progress.rank, rank(state));
    }
  }
  return [...all.values()].map(({ rank, ...progress }) => ({ ...progress, worst: worstOf(rank) }));
}

/** How much of a wall was looked at and is ok, in whole percent; 100 only when all of it is. */
export function percentOk(fold: Fold, file: ChecksFile): number {
  const checks = signable(file);
  const ok = checks.filter(({ id }) => standsAs(fold, id).state === "ok").length;
  return checks.length === 0 ? 100 : Math.floor((100 * ok) / checks.length);
}

const REOPENED = rank({ state: "reopened", weight: null, standing: [] });

function worstOf(found: number): TileProgress["worst"] {
  if (found > REOPENED) return "fault";
  return found === REOPENED ? "reopened" : null;
}
