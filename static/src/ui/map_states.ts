/** How the places of a walk's map stand, in blocks: a tap draws the block of its place anew, not thousands of them. */

import type { Fold } from "../book/findings";
import { keptUp } from "../walk/checks/kept_up";
import { worstOf } from "../walk/checks/progress";
import { secondOf, standsAs } from "../walk/findings/second_look";
import type { Block, Spot } from "./map_shapes";

/** Places of a block by their state, all of a state as one path; another object whenever a path is another. */
export type Paths = ReadonlyMap<string, string>;

interface Drawn {
  paths: Map<Block<Spot>, Paths>;
  /** The blocks that a check is drawn in. */
  blocksOf: Map<string, Set<Block<Spot>>>;
}

const drawnOf = keptUp(make, ({ paths, blocksOf }, check, fold) => {
  // how a second look stands follows from the first one, too
  for (const one of [check, secondOf(check) ?? check])
    for (const block of blocksOf.get(one) ?? []) paths.set(block, pathsIn(fold, block));
});

/** What is drawn in each block of a map. */
export function pathsOf(fold: Fold, blocks: Block<Spot>[]): ReadonlyMap<Block<Spot>, Paths> {
  return drawnOf(fold, blocks).paths;
}

function make(fold: Fold, blocks: Block<Spot>[]): Drawn {
  const blocksOf: Drawn["blocksOf"] = new Map();
  for (const block of blocks)
    for (const check of block.shapes.flatMap(({ checks }) => checks))
      blocksOf.set(check, (blocksOf.get(check) ?? new Set()).add(block));
  return { paths: new Map(blocks.map((block) => [block, pathsIn(fold, block)])), blocksOf };
}

function pathsIn(fold: Fold, { shapes }: Block<Spot>): Paths {
  const paths = new Map<string, string>();
  for (const { checks, path } of shapes) {
    const worst = worstOf(checks.map((id) => standsAs(fold, id)));
    const key = worst.weight ?? worst.state;
    paths.set(key, (paths.get(key) ?? "") + path);
  }
  return paths;
}
