/**
 * A second person's look counts only by somebody else than who found the locks shut. This is no rule of how findings
 * add up: the check is ok by itself, but it stays in the way of a sign-off.
 */

import type { Fold } from "../../book/findings";

const KIND = "second_look";
const FIRST = "locks";

/** The lock check that a second look belongs to; null for any other check. */
export function firstOf(check: string): string | null {
  const at = check.lastIndexOf("/") + 1;
  const [kind, expect] = check.slice(at).split(":");
  return kind === KIND ? `${check.slice(0, at)}${FIRST}:${expect}` : null;
}

/** Who found a check ok, of those whose word stands. */
function lookedBy(fold: Fold, check: string): Set<string> {
  const acts = fold.state(check).standing.map((id) => fold.acts.get(id));
  return new Set(acts.filter((act) => act?.kind === "ok").map((act) => act?.author ?? ""));
}

/** Whether somebody may give the second look: anybody but the one who alone found the locks shut. */
export function maySecond(fold: Fold, check: string, author: string): boolean {
  const first = firstOf(check);
  if (first === null) return true;
  const by = lookedBy(fold, first);
  return by.size === 0 || [...by].some((other) => other !== author);
}

/** Whether an ok second look was given by the only one who looked first. */
export function isSameHands(fold: Fold, check: string): boolean {
  const first = firstOf(check);
  if (first === null || fold.state(check).state !== "ok" || fold.state(first).state !== "ok") return false;
  const people = new Set([...lookedBy(fold, first), ...lookedBy(fold, check)]);
  return people.size === 1;
}
