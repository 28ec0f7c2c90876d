/** Counting the tiles of a case by scanning them in any order. */

import type { Stock } from "./stock";

export interface Count {
  /** Tiles of this case that were scanned, and those that were not. */
  there: string[];
  missing: string[];
  /** Scanned tiles whose home is another case, or none. */
  foreign: string[];
}

export function count(stock: Stock, box: string, scanned: string[]): Count {
  const home = stock.tilesOf(box);
  const seen = new Set<string>();
  const foreign = new Set<string>();
  for (const text of scanned) {
    const found = stock.find(text);
    if (found.is !== "known" || found.code.kind !== "tile") continue;
    (home.includes(found.thing.code) ? seen : foreign).add(found.thing.code);
  }
  return {
    there: home.filter((code) => seen.has(code)),
    missing: home.filter((code) => !seen.has(code)),
    foreign: [...foreign],
  };
}
