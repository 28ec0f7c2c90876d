/** Sign-off: what is in the way of it, and when it no longer holds. Rules as in server/seamwalk/domain/findings/signoff.py. */

import type { Statement } from "./entry";
import { type CheckState, rank } from "./findings";
import { rightsOf } from "./trust";

/** The state of a check that nobody has touched. */
export const OPEN: CheckState = { state: "open", weight: null, standing: [] };

/** The statements that a role may sign. */
export function statementsOf(role: string): Statement[] {
  return rightsOf(role).statements;
}

/** A check that keeps a wall from being signed: not ok, an ok that does not count, or a fault that is planned no more. */
export interface InTheWay {
  check: string;
  state: CheckState;
  why: "not_ok" | WhyNot | "vanished";
}

/** Why an ok is in the way all the same. */
export type WhyNot = "same_hands" | "too_early" | "not_released" | "coming_down";

/**
 * What is not ok: the plan's checks in their order, then faults of checks no longer planned. `whyNot` tells why an ok is
 * in the way all the same.
 */
export function inTheWay(
  checks: string[],
  states: Map<string, CheckState>,
  whyNot: (check: string) => WhyNot | null = () => null,
): InTheWay[] {
  const known = new Set(checks);
  const stateOf = (check: string) => states.get(check) ?? OPEN;
  const notOk: InTheWay[] = checks.flatMap((check) => {
    const state = stateOf(check);
    const why = state.state === "ok" ? whyNot(check) : "not_ok";
    return why === null ? [] : [{ check, state, why }];
  });
  const vanished: InTheWay[] = [...states]
    .filter(([check, state]) => !known.has(check) && state.state === "fault")
    .map(([check, state]) => ({ check, state, why: "vanished" as const }))
    .sort((a, b) => (a.check < b.check ? -1 : 1));
  return [...notOk, ...vanished];
}

/** How checks stand: the states that entries add up to, and where nobody has let the crew go on after a stop. */
export interface Standing {
  states: Map<string, CheckState>;
  held: ReadonlySet<string>;
}

/** What a sign-off was over: its plan, the checks it excepted, and how the others stood. */
export interface Signed extends Standing {
  plan: string;
  excepted: Set<string>;
}

/** Why a sign-off no longer stands: another plan, or checks (ids, sorted) that are worse than when it was signed. */
export interface Lapse {
  planDiffers: boolean;
  worse: string[];
}

/**
 * Why a sign-off has lapsed; null while it stands. A late ok changes nothing; a check left out is open. One that a stop
 * holds now is worse than one that none held then: what is mended is not yet what was signed.
 */
export function lapse(signed: Signed, plan: string | null, now: Standing): Lapse | null {
  const isWorse = (check: string) =>
    (now.held.has(check) && !signed.held.has(check)) ||
    badness(now.states.get(check) ?? OPEN) > badness(signed.states.get(check) ?? OPEN);
  const worse = [...new Set([...signed.states.keys(), ...now.states.keys()])]
    .filter((check) => !signed.excepted.has(check) && isWorse(check))
    .sort();
  const planDiffers = plan !== signed.plan;
  return planDiffers || worse.length > 0 ? { planDiffers, worse } : null;
}

function badness(state: CheckState): number {
  if (state.state === "ok") return 0;
  return state.state === "open" || state.state === "not_reached" ? 1 : rank(state);
}
