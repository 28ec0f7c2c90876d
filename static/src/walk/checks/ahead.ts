/** Why an ok is given ahead of its turn: a reason that its entry carries. */

import type { Bodies } from "../../book/bodies";
import type { Before } from "./order";

export type Ahead = NonNullable<Bodies["found"]["ahead"]>;

/** The reasons that there are; `other` wants words. */
export const AHEAD_REASONS = ["looked", "order", "part", "other"] as const;
export type AheadReason = (typeof AHEAD_REASONS)[number];

/** As many as an entry may name. */
const MOST_MISSING = 500;
const MOST_HELD = 100;

/** Whether a reason may hold for the rest of a walk: for what is missing, never against a stop or a closed strike. */
export function mayKeep({ holds, notOpened }: Before): boolean {
  return holds.length === 0 && !notOpened;
}

/** What an entry says of what it is ahead of. */
export function aheadOf({ missing, holds }: Before, reason: string): Ahead {
  return {
    reason,
    missing: missing.slice(0, MOST_MISSING),
    held: [...new Set(holds.map(({ fault }) => fault.id))].slice(0, MOST_HELD),
  };
}
