/**
 * What keeps a wall from being signed, and which exceptions need a name: the same for every statement. The server
 * measures sign-offs by the same rules (server/seamwalk/signoffs); tests/vectors/claims.json holds both together.
 */

import type { SignOffException } from "../../book/bodies";
import type { CheckState, Fold } from "../../book/findings";
import { type InTheWay, inTheWay } from "../../book/signoff";
import { type ChecksFile, isOfStrike, signable } from "../checks/checks";
import { isSameHands } from "./second_look";

/** A check that is signed for as it is, with the reason; `person` is the competent person who says so. */
export type Exception = SignOffException;

/** The states of what a built wall is signed for. */
export function built(states: Map<string, CheckState>): Map<string, CheckState> {
  return new Map([...states].filter(([check]) => !isOfStrike(check)));
}

/** What is in the way of signing a wall, by its checks file and the states of its checks. */
export function standsInTheWay(file: ChecksFile, states: Map<string, CheckState>, fold: Fold): InTheWay[] {
  const checks = signable(file).map((check) => check.id);
  return inTheWay(checks, built(states), (check) => isSameHands(fold, check));
}

/** The structural exceptions that lack the competent person's name. */
export function withoutPerson(file: ChecksFile, exceptions: Exception[]): string[] {
  const structural = new Set(file.checks.filter((check) => check.structural).map((check) => check.id));
  return exceptions
    .filter((item) => structural.has(item.check) && !item.person?.trim())
    .map((item) => item.check);
}
