/**
 * A second person's look counts only by somebody else than who found the locks shut, after that. This is no rule of how findings
 * add up: the check is ok by itself, but it stays in the way of a sign-off.
 */

import type { Act, CheckState, Fold } from "../../book/findings";
import { isAmong } from "../../book/names";

const KIND = "second_look";
const FIRST = "locks";

/** The lock check that a second look belongs to; null for any other check. */
export function firstOf(check: string): string | null {
  const at = check.lastIndexOf("/") + 1;
  if (!check.startsWith(KIND, at)) return null;
  const [kind, expect] = check.slice(at).split(":");
  return kind === KIND ? `${check.slice(0, at)}${FIRST}:${expect}` : null;
}

/** The second look that rests on a lock check; null for any other check. */
export function secondOf(check: string): string | null {
  const at = check.lastIndexOf("/") + 1;
  return check.startsWith(`${FIRST}:`, at)
    ? `${check.slice(0, at)}${KIND}${check.slice(at + FIRST.length)}`
    : null;
}

/**
 * How a check stands for whoever walks: a second look that counts for nothing is to be looked at again, whatever it adds
 * up to.
 */
export function standsAs(fold: Fold, check: string): CheckState {
  const state = fold.state(check);
  if (state.state !== "ok" || secondLookFault(fold, check) === null) return state;
  return { ...state, state: "reopened" };
}

/** The oks that stand at a check. */
function oks(fold: Fold, check: string): Act[] {
  const acts = fold.state(check).standing.flatMap((id) => fold.acts.get(id) ?? []);
  return acts.filter((act) => act.kind === "ok");
}

/** Those of them that have looked since something was answered at the check; all, where nothing was. */
function sinceAnswered(fold: Fold, check: string): Act[] {
  const here = fold.actsAt(check);
  const all = oks(fold, check);
  const answering = all.filter((ok) => here.some((act) => isAmong(act, ok.answers)));
  return answering.length > 0 ? answering : all;
}

/** Whether somebody may give the second look: anybody but the one who alone looked first, or mended. */
export function maySecond(fold: Fold, check: string, author: string): boolean {
  const first = firstOf(check);
  if (first === null) return true;
  const by = sinceAnswered(fold, first);
  return by.length === 0 || by.some((act) => act.author !== author);
}

/**
 * Whether an ok second look was given by the only one who looked first. So it is asked of walls whose checks file is of
 * version 1.
 */
export function isSameHands(fold: Fold, check: string): boolean {
  const first = firstOf(check);
  if (first === null || !areOk(fold, first, check)) return false;
  return new Set([...oks(fold, first), ...oks(fold, check)].map(({ author }) => author)).size === 1;
}

/**
 * Why an ok second look is none: by the hands that looked first or mended, or before any first look. A look that its
 * own phone called early is none, unless a first look by another person turns out to be older, by both phones' clocks.
 */
export function secondLookFault(fold: Fold, check: string): "same_hands" | "too_early" | null {
  const first = firstOf(check);
  if (first === null || !areOk(fold, first, check)) return null;
  const seconds = sinceAnswered(fold, check);
  const pairs = sinceAnswered(fold, first).flatMap((one) =>
    seconds.filter(({ author }) => author !== one.author).map((two) => ({ one, two })),
  );
  if (pairs.length === 0) return "same_hands";
  return pairs.some(({ one, two }) => !two.early.has(first) || one.at <= two.at) ? null : "too_early";
}

function areOk(fold: Fold, ...checks: string[]): boolean {
  return checks.every((check) => fold.state(check).state === "ok");
}
