/** What a tap on OK writes: only what was drawn is answered, and a tap on a changed screen is refused. */

import type { Bodies } from "../../book/bodies";
import type { Weight } from "../../book/entry";
import { type CheckState, type Fold, kindAt } from "../../book/findings";
import { maySecond, standsAs } from "../findings/second_look";
import type { Show } from "../show/show";
import type { Check, ChecksFile } from "./checks";
import { dueAmong, openedBy } from "./order";

type Found = Bodies["found"];

/** What stood at a check when it was drawn. */
export type Drawn = Record<string, string[]>;

/** What stands at checks now, by check id: keep it until what was drawn is answered. */
export function draw(fold: Fold, checks: Check[]): Drawn {
  return Object.fromEntries(checks.map((check) => [check.id, fold.state(check.id).standing]));
}

/** Whether what stands is still what was drawn. */
export function isCurrent(fold: Fold, drawn: Drawn): boolean {
  return Object.entries(drawn).every(([check, ids]) => {
    const now = fold.state(check).standing;
    return now.length === ids.length && now.every((id, i) => id === ids[i]);
  });
}

/** An ok for one check answers everything that was drawn there. */
export function okFor(plan: string, check: Check, drawn: Drawn, fold: Fold): Found {
  const answers = (drawn[check.id] ?? []).filter((id) => fold.acts.get(id)?.kind !== "ok");
  return { plan, checks: [check.id], result: "ok", answers };
}

/**
 * An ok for many checks at once takes only those without a fault, and answers reopenings alone; a second look is left
 * to somebody else than who looked first.
 */
export function okForAll(
  plan: string,
  checks: Check[],
  drawn: Drawn,
  fold: Fold,
  author: string,
): Found | null {
  const open = checks.filter(
    (check) => takesSharedOk(standsAs(fold, check.id)) && maySecond(fold, check.id, author),
  );
  if (open.length === 0) return null;
  const answers = open.flatMap(({ id }) => (drawn[id] ?? []).filter((name) => isShared(fold, name, id)));
  return { plan, checks: open.map((check) => check.id), result: "ok", answers: [...new Set(answers)] };
}

/** Whether an ok for many checks answers an act at one of them. */
function isShared(fold: Fold, name: string, check: string): boolean {
  const act = fold.acts.get(name);
  return act !== undefined && ["reopened", "not_reached"].includes(kindAt(act, check));
}

/**
 * The same of the checks whose turn has come; of all, where none has: that is asked about before it is written. Where a
 * fault stands among them there is nothing else to say before it is answered.
 */
export function okForDue(
  show: Show,
  wall: string,
  file: ChecksFile,
  checks: Check[],
  drawn: Drawn,
): Found | null {
  const okFor = (some: Check[]) => okForAll(show.planOf(wall), some, drawn, show.fold, show.me());
  const isFaulty = checks.some(({ id }) => show.fold.state(id).state === "fault");
  return okFor(dueAmong(show, wall, file, checks)) ?? (isFaulty ? null : okFor(checks));
}

function takesSharedOk(state: CheckState): boolean {
  return state.state !== "ok" && state.state !== "fault";
}

/** The body of a fault of these checks: what rests on them is open again. */
export function faultFor(
  plan: string,
  file: ChecksFile,
  checks: string[],
  weight: Weight,
  reason: string,
): Found {
  return { plan, checks, result: "fault", weight, reason, reopens: openedBy(file, checks) };
}

/** The body that says that nobody can reach these checks. */
export function notReached(plan: string, checks: string[]): Found {
  return { plan, checks, result: "not_reached", reason: "cannot_reach" };
}
