/**
 * What keeps a wall from being signed, and which exceptions need a name. The server
 * measures sign-offs by the same rules (server/seamwalk/signoffs); tests/vectors/claims.json holds both together.
 */

import type { SignOffException } from "../../book/bodies";
import type { CheckState, Fold } from "../../book/findings";
import { type InTheWay, inTheWay, type WhyNot } from "../../book/signoff";
import { type ChecksFile, isOfStrike, kindOf, signable } from "../checks/checks";
import { isSameHands, secondLookFault } from "./second_look";

/** A check that is signed for as it is, with the reason; `person` is the competent person who says so. */
export type Exception = SignOffException;

/** The states of what a built wall is signed for. */
export function built(states: Map<string, CheckState>): Map<string, CheckState> {
  return new Map([...states].filter(([check]) => !isOfStrike(check)));
}

/** What is in the way of a statement over a wall; `comingDown` are checks where the strike is open, by their ids. */
export function standsInTheWay(
  file: ChecksFile,
  states: Map<string, CheckState>,
  fold: Fold,
  statement: string,
  comingDown: ReadonlySet<string> = NONE,
): InTheWay[] {
  const checks = signable(file).map((check) => check.id);
  return inTheWay(
    checks.filter((check) => covers(file, statement, check)),
    new Map([...built(states)].filter(([check]) => covers(file, statement, check))),
    (check) =>
      whyNot(file, fold, check) ??
      (AS_BUILT.includes(statement) && comingDown.has(check) ? "coming_down" : null),
  );
}

function whyNot(file: ChecksFile, fold: Fold, check: string): WhyNot | null {
  if (file.v === 1) return isSameHands(fold, check) ? "same_hands" : null;
  if (fold.unreleased(check, dutyOf(file, check)).length > 0) return "not_released";
  return secondLookFault(fold, check);
}

const NONE: ReadonlySet<string> = new Set();
/** What says that a wall stands: not of a part that comes down. */
const AS_BUILT = ["built", "handover"];

/** From version 2 of checks files on these statements are over the kinds that name them, all others over the whole wall. */
const OF_KINDS = ["suspension", "supply", "picture"];

/** Whether a statement is over a check. */
export function covers(file: ChecksFile, statement: string, check: string): boolean {
  if (file.v === 1 || !OF_KINDS.includes(statement)) return true;
  return file.kinds[kindOf(check)]?.statement === statement;
}

/** Whose word lets a crew go on after a stop at a check: structure, mains or site. */
export function dutyOf(file: ChecksFile, check: string): string {
  return file.kinds[kindOf(check)]?.duty ?? "site";
}

/** The checks that a stop holds; none by a file that knows of no releases. */
export function heldIn(file: ChecksFile, fold: Fold): ReadonlySet<string> {
  return file.v === 1 ? NONE : fold.held((check) => dutyOf(file, check));
}

/** The structural exceptions that lack the competent person's name. */
export function withoutPerson(file: ChecksFile, exceptions: Exception[]): string[] {
  const structural = new Set(file.checks.filter((check) => check.structural).map((check) => check.id));
  return exceptions
    .filter((item) => structural.has(item.check) && !item.person?.trim())
    .map((item) => item.check);
}
