/** Which plan of a wall stands. Rules as in server/seamwalk/domain/succession.py. */

export interface PlanSet {
  id: string;
  replaces: string | null;
  /** Place in the book; null, for one that is on its way back after a restore, comes last. */
  index: number | null;
}

/** The id of the plan that stands among those of one wall, null when there is none. */
export function standingPlan(plans: Iterable<PlanSet>): string | null {
  const place = (plan: PlanSet) => plan.index ?? Number.POSITIVE_INFINITY;
  const successor = new Map<string | null, string>();
  for (const plan of [...plans].sort((a, b) => (place(a) === place(b) ? 0 : place(a) - place(b)))) {
    if (!successor.has(plan.replaces)) successor.set(plan.replaces, plan.id);
  }
  let stands: string | null = null;
  for (let next = successor.get(null); next !== undefined; next = successor.get(stands)) {
    successor.delete(stands);
    stands = next;
  }
  return stands;
}
