/**
 * What a check's findings add up to: the same answer in any order of arrival, whatever the clocks say.
 * The rules stand in server/seamwalk/domain/findings/findings.py; tests/vectors/findings.json holds both together.
 */

import type { KeptEntry, Weight } from "./entry";
import { ByName, isAmong, type Named, Withdrawals } from "./names";

/** What an act does at its checks; a withdrawal takes another act back. */
export type ActKind = "ok" | "fault" | "not_reached" | "reopened" | "withdrawn";
/** What a check is, without the weight of its fault. */
export type State = "open" | "not_reached" | "ok" | "reopened" | "fault";

/** What an entry says of checks, as it is added up. */
export interface Act extends Named {
  author: string;
  kind: ActKind;
  checks: string[];
  weight: Weight | null;
  answers: ReadonlySet<string>;
  target: string | null;
}

/** A check, added up; `weight` is that of a fault and null in all other states. */
export interface CheckState {
  state: State;
  weight: Weight | null;
  /** Ids of the acts that stand, sorted. */
  standing: string[];
}

const NONE: ReadonlySet<string> = new Set();
/** A fault is as bad as its weight; one that has none would be as bad as can be. */
const RANK: Record<State | Weight, number> = {
  open: 0,
  not_reached: 1,
  ok: 2,
  reopened: 3,
  cosmetic: 4,
  show: 5,
  stop: 6,
  fault: 6,
};

/** How bad a state is; stop is worst. */
export function rank(state: CheckState): number {
  return RANK[state.weight ?? state.state];
}

/** Read an entry as an act; null when it changes no check. */
export function actOf(entry: KeptEntry, author: string): Act | null {
  const { id, otherId, type, body } = entry;
  const base = { id, otherId, author, checks: [], weight: null, answers: NONE, target: null };
  switch (type) {
    case "found":
      return {
        ...base,
        kind: body.result,
        checks: body.checks,
        weight: body.weight ?? null,
        answers: body.answers?.length ? new Set(body.answers) : NONE,
      };
    case "swapped":
      return { ...base, kind: "reopened", checks: body.reopens };
    case "withdrawn":
      return { ...base, kind: "withdrawn", target: body.entry };
    default:
      return null;
  }
}

/** Findings added up, act by act; adding an act twice, by whichever of its ids, changes nothing. */
export class Fold {
  readonly acts = new ByName<Act>();
  private readonly atCheck = new Map<string, Act[]>();
  private readonly withdrawals = new Withdrawals();
  private readonly known = new Map<string, CheckState>();

  /** Take acts into account; returns the checks whose state may have changed. */
  add(acts: Iterable<Act>): Set<string> {
    const changed = new Set<string>();
    for (const act of acts) {
      if (this.acts.of(act) !== undefined) continue;
      this.acts.set(act);
      if (act.kind === "withdrawn" && act.target !== null) this.withdraw(act, act.target, changed);
      for (const check of act.checks) {
        const own = this.atCheck.get(check);
        if (own) own.push(act);
        else this.atCheck.set(check, [act]);
        changed.add(check);
      }
    }
    for (const check of changed) this.known.delete(check);
    return changed;
  }

  private withdraw(act: Act, target: string, changed: Set<string>): void {
    this.withdrawals.add(target, act.author);
    for (const check of this.acts.get(target)?.checks ?? []) changed.add(check);
  }

  checks(): string[] {
    return [...this.atCheck.keys()];
  }

  /** The acts that name a check, in the order in which they came. */
  actsAt(check: string): readonly Act[] {
    return this.atCheck.get(check) ?? [];
  }

  isLive(act: Act): boolean {
    return !this.withdrawals.some(act, (by) => by === act.author);
  }

  /** A check's state; worked out once, until an act changes it. */
  state(check: string): CheckState {
    let state = this.known.get(check);
    if (state === undefined) {
      state = this.addUp(check);
      this.known.set(check, state);
    }
    return state;
  }

  private addUp(check: string): CheckState {
    const live = this.actsAt(check).filter((act) => this.isLive(act));
    const oks = live.filter((act) => act.kind === "ok" && act.answers.size > 0);
    const standing = live.filter((act) => !oks.some((ok) => answers(ok, act)));
    let worst: CheckState = { state: "open", weight: null, standing: [] };
    for (const act of standing) {
      if (act.kind === "withdrawn") continue;
      const alone: CheckState = { state: act.kind, weight: act.weight, standing: [] };
      if (rank(alone) > rank(worst)) worst = alone;
    }
    return { ...worst, standing: standing.map((act) => act.id).sort() };
  }
}

/** Whether an ok answers an act: it names it, and an ok for several checks answers no fault. */
export function answers(ok: Act, act: Act): boolean {
  return isAmong(act, ok.answers) && (act.kind !== "fault" || ok.checks.length === 1);
}
