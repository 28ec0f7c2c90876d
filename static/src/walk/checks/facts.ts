/** What procedures may ask of a place: features of its tiles, how the wall stands, limits for readings. */

import type { ChecksFile } from "./checks";
import type { Limits } from "./procedures";

/** The facts that hold at some tiles of a wall; files of older plans know no features. */
export function factsOf(file: ChecksFile, tiles: string[]): Set<string> {
  const types = typesOf(file, tiles);
  const features = types.flatMap((type) => file.types?.[type]?.features ?? []);
  const bent = file.bends_deg.some((angle) => angle !== 0);
  const points = file.limits?.point_kg_1 !== undefined;
  const facts = [...(bent ? ["bent"] : []), ...(points ? ["points_known"] : [])];
  return new Set([...features, file.support, ...facts]);
}

/** The limits that hold there: of the whole wall, and the narrowest of its tiles' makers. */
export function limitsOf(file: ChecksFile, tiles: string[]): Limits {
  const limits: Limits = { ...file.limits };
  for (const type of typesOf(file, tiles)) {
    for (const [name, limit] of Object.entries(file.types?.[type]?.limits ?? {})) {
      if (limit !== null) limits[name] = Math.min(limit, limits[name] ?? limit);
    }
  }
  return limits;
}

function typesOf(file: ChecksFile, tiles: string[]): string[] {
  const all = tiles.length > 0 ? file.tiles.filter(({ id }) => tiles.includes(id)) : file.tiles;
  return [...new Set(all.map(({ type }) => type))];
}
