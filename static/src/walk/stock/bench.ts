/** How a thing stands with the bench, from the steps in their order, as server/seamwalk/domain/stock/bench.py says. */

import type { Bodies } from "../../book/bodies";
import type { KeptEntry } from "../../book/entry";
import type { StockItem } from "../files";

/** Where a thing is between use and scrap; only what is in stock may be used. */
export type Status = NonNullable<StockItem[6]>;

/** A thing at the bench, added up. */
export interface BenchState {
  status: Status;
  /** The entry of the step that led here; "" where it comes from the stock list or nothing was ever wrong. */
  since: string;
  /** Who judged or mended it last: not the one who looks again. */
  workedBy: string;
}

/** What happened to a thing: taken out of a wall, seen damaged, or a step at the bench; `by` is a person. */
export interface Step {
  entry: string;
  by: string;
  what: "out" | "damaged" | "triage" | "repair" | "second_look";
  result: string;
}

/** Where a thing begins of which nobody has said anything. */
export const SOUND: BenchState = { status: "in_stock", since: "", workedBy: "" };

const AFTER: Record<string, Status> = {
  "triage/repair": "in_repair",
  "triage/no_fault": "awaits_look",
  "triage/to_maker": "at_maker",
  "triage/scrap": "scrapped",
  "repair/mended": "awaits_look",
  "repair/not_mended": "quarantined",
  "second_look/faulty": "quarantined",
};

/** Add steps up, oldest first, from where the thing stood before them. */
export function benchState(steps: Step[], start: BenchState = SOUND): BenchState {
  return steps.reduce(after, start);
}

function after(state: BenchState, { entry, by, what, result }: Step): BenchState {
  if (state.status === "scrapped") return state;
  if (what === "out" || what === "damaged") return { status: "quarantined", since: entry, workedBy: "" };
  if (what === "second_look" && result === "sound") {
    const passes = state.status === "awaits_look" && by !== state.workedBy;
    return passes ? { status: "in_stock", since: entry, workedBy: "" } : state;
  }
  const status = AFTER[`${what}/${result}`];
  if (status === undefined) return state;
  return { status, since: entry, workedBy: what === "second_look" ? "" : by };
}

/** The step that an entry records, and of which thing; null for an entry that records none. */
export function stepOf({ type, body, id }: KeptEntry, by: string): { item: string; step: Step } | null {
  const told = (item: string, what: Step["what"], result = "") => ({
    item,
    step: { entry: id, by, what, result },
  });
  if (type === "swapped" && body.out) return told(body.out, "out");
  if (type === "item_looked_at" && isDamaged(body)) return told(body.item, "damaged");
  if (type === "item_benched") return told(body.item, body.step, body.result);
  return null;
}

/** Whether a look saw more than cosmetic damage. */
function isDamaged({ damage }: Bodies["item_looked_at"]): boolean {
  return (damage ?? []).some(({ weight }) => weight !== "cosmetic");
}
