/** Who walks, and a walk shared out: contiguous stretches of what is still open, balanced by how much there is to look at. */

import { at } from "../../book/must";
import { rightsOf } from "../../book/trust";

/** Somebody's stretch of a walk. */
export interface Part {
  person: string;
  /** Stops of the walk, from and to, both counted in. */
  first: number;
  last: number;
}

/** Whether a role walks walls: whoever may say what they found, but for the warehouse, which goes by its cases. */
export function mayWalk(role: string): boolean {
  return role !== "warehouse" && rightsOf(role).writes.includes("found");
}

/**
 * Cut the open stops of a walk into one stretch for each person, in their order, so that the heaviest stretch is as
 * light as any cut allows. `weights` has one figure for each stop; a stop that asks for nothing any more weighs 0.
 * Fewer open stops than people leave the last people without a stretch.
 */
export function share(weights: number[], people: string[]): Part[] {
  const open = weights.flatMap((weight, stop) => (weight > 0 ? [{ stop, weight }] : []));
  const count = Math.min(people.length, open.length);
  if (count === 0) return [];
  const limit = lightest(
    open.map(({ weight }) => weight),
    count,
  );
  const parts: Part[] = [];
  let from = 0;
  for (let number = 0; number < count; number++) {
    const most = open.length - (count - number - 1);
    let to = from + 1;
    let load = open[from]?.weight ?? 0;
    while (to < most && load + (open[to]?.weight ?? 0) <= limit) load += open[to++]?.weight ?? 0;
    if (number === count - 1) to = open.length;
    parts.push({
      person: at(people, number),
      first: open[from]?.stop ?? 0,
      last: open[to - 1]?.stop ?? 0,
    });
    from = to;
  }
  return parts;
}

/** The least limit under which the weights can be cut into `count` stretches: found by halving. */
function lightest(weights: number[], count: number): number {
  let low = Math.max(...weights);
  let high = weights.reduce((sum, weight) => sum + weight, 0);
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (stretches(weights, middle) <= count) high = middle;
    else low = middle + 1;
  }
  return low;
}

function stretches(weights: number[], limit: number): number {
  let count = 1;
  let load = 0;
  for (const weight of weights) {
    if (load + weight > limit) {
      count += 1;
      load = 0;
    }
    load += weight;
  }
  return count;
}
