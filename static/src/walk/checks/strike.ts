/** Which columns of a wall come down, as somebody says it and as an entry names their tiles. */

import type { ChecksFile } from "./checks";

/** From one column to another, both counted in, from the audience's left. */
export interface Columns {
  first: number;
  last: number;
}

/** What is wrong with columns as they were typed. */
export type WrongColumns = "columns_outside" | "columns_order" | "columns_needed";

/** Columns as they were typed; what is wrong with them where the wall has not all of them. */
export function columnsOf({ columns }: ChecksFile, from: string, to: string): Columns | WrongColumns {
  const [first, last] = [from, to].map((typed) => (/^\s*\d+\s*$/.test(typed) ? Number(typed) : 0));
  if (!isWithin(first, columns) || !isWithin(last, columns)) return "columns_outside";
  return first <= last ? { first, last } : "columns_order";
}

function isWithin(column: number | undefined, columns: number): column is number {
  return column !== undefined && column >= 1 && column <= columns;
}

/** The ids of the tiles that lie within columns whole. */
export function tilesWithin({ tiles }: ChecksFile, { first, last }: Columns): string[] {
  return tiles.filter(({ column, w }) => column >= first && column + w - 1 <= last).map(({ id }) => id);
}

/** The columns in which tiles lie, in runs from left to right; none where the wall has not all of the tiles. */
export function columnsWith(file: ChecksFile, ids: string[]): Columns[] {
  const tiles = file.tiles.filter(({ id }) => ids.includes(id));
  if (tiles.length < new Set(ids).size) return [];
  const columns = new Set(tiles.flatMap(({ column, w }) => Array.from({ length: w }, (_, i) => column + i)));
  const runs: Columns[] = [];
  for (const column of [...columns].sort((a, b) => a - b)) {
    const run = runs.at(-1);
    if (run?.last === column - 1) run.last = column;
    else runs.push({ first: column, last: column });
  }
  return runs;
}
