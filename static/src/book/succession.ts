/** Which plan of a wall stands. Rules as in server/seamwalk/domain/wall/succession.py. */

import { ByName, type Named } from "./names";

/** A plan of a wall and the id of the one that it replaces; null for a first one. */
export interface PlanSet extends Named {
  replaces: string | null;
  /** Place in the book; null, for one that is on its way back after a restore, comes last. */
  index: number | null;
}

/** The id of the plan that stands among those of one wall, null when there is none. */
export function standingPlan(plans: Iterable<PlanSet>): string | null {
  const place = (plan: PlanSet) => plan.index ?? Number.POSITIVE_INFINITY;
  const sorted = [...plans].sort((a, b) => (place(a) === place(b) ? 0 : place(a) - place(b)));
  const known = new ByName(sorted);
  const successor = new Map<string | null, string>();
  for (const { id, replaces } of sorted) {
    const replaced = replaces === null ? null : (known.get(replaces)?.id ?? replaces);
    if (!successor.has(replaced)) successor.set(replaced, id);
  }
  let stands: string | null = null;
  for (let next = successor.get(null); next !== undefined; next = successor.get(stands)) {
    successor.delete(stands);
    stands = next;
  }
  return stands;
}
