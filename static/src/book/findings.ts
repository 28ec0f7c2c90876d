/**
 * What a check's findings add up to: the same answer in any order of arrival, whatever the clocks say.
 * The rules stand in server/seamwalk/domain/findings/findings.py; tests/vectors/findings.json holds both together.
 */

import type { Bodies } from "./bodies";
import type { KeptEntry, Weight } from "./entry";
import { ByName, isAmong, type Named, Withdrawals } from "./names";

/** What an act does at its checks; a release lets a crew go on after a stop, a withdrawal takes another act back. */
export type ActKind = "ok" | "fault" | "not_reached" | "reopened" | "released" | "withdrawn";
/** What a check is, without the weight of its fault. */
export type State = "open" | "not_reached" | "ok" | "reopened" | "fault";

/** What an entry says of checks, as it is added up. */
export interface Act extends Named {
  author: string;
  kind: ActKind;
  /** All that it names. */
  checks: string[];
  weight: Weight | null;
  /** What an ok has seen and answers, or the stop faults that are released. */
  answers: ReadonlySet<string>;
  target: string | null;
  /** Those of its checks that a fault only opens again. */
  reopens: ReadonlySet<string>;
  /** Whose word a release is. */
  duty: string | null;
  /** Checks that should have been ok when an ok was given, and were not as far as its phone knew. */
  early: ReadonlySet<string>;
  /** The clock of its phone, UTC: a claim. */
  at: string;
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
  const { id, otherId, type, body, at } = entry;
  const nothing = { checks: [], weight: null, answers: NONE, target: null };
  const base = { id, otherId, author, at, ...nothing, reopens: NONE, duty: null, early: NONE };
  switch (type) {
    case "found":
      return { ...base, ...found(body) };
    case "swapped":
      return { ...base, kind: "reopened", checks: body.reopens };
    case "stop_released":
      return {
        ...base,
        kind: "released",
        checks: [body.check],
        answers: new Set([body.fault]),
        duty: body.duty,
      };
    case "withdrawn":
      return { ...base, kind: "withdrawn", target: body.entry };
    default:
      return null;
  }
}

function found(body: Bodies["found"]): Partial<Act> & Pick<Act, "kind"> {
  const own = new Set(body.checks);
  const reopens = (body.reopens ?? []).filter((check) => !own.has(check));
  return {
    kind: body.result,
    checks: reopens.length > 0 ? [...body.checks, ...reopens] : body.checks,
    weight: body.weight ?? null,
    answers: setOf(body.answers),
    reopens: setOf(reopens),
    early: setOf(body.ahead?.missing),
  };
}

function setOf(values: string[] | undefined): ReadonlySet<string> {
  return values?.length ? new Set(values) : NONE;
}

/** What an act is at one of its checks. */
export function kindAt(act: Act, check: string): ActKind {
  return act.reopens.has(check) ? "reopened" : act.kind;
}

/** Findings added up, act by act; adding an act twice, by whichever of its ids, changes nothing. */
export class Fold {
  readonly acts = new ByName<Act>();
  /** Every check whose state may have changed, each time that it may have, in that order. */
  readonly touched: string[] = [];
  private readonly atCheck = new Map<string, Act[]>();
  private readonly withdrawals = new Withdrawals();
  private readonly known = new Map<string, CheckState>();
  private readonly stops = new Set<string>();

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
        if (act.weight === "stop") this.stops.add(check);
      }
    }
    for (const check of changed) {
      this.known.delete(check);
      this.touched.push(check);
    }
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

  /** Checks that a fault of weight stop was ever told at, or that one opened again. */
  stopped(): ReadonlySet<string> {
    return this.stops;
  }

  /**
   * Stop faults at a check that nobody of its duty has let go on, in the order in which they came. A release counts by
   * somebody else than the only one who answered the fault.
   */
  unreleased(check: string, duty: string): Act[] {
    if (!this.stops.has(check)) return [];
    const live = this.actsAt(check).filter((act) => this.isLive(act));
    return live
      .filter((act) => act.weight === "stop" && kindAt(act, check) === "fault")
      .filter((act) => !isReleased(act, live, duty, check));
  }

  /** Checks with a stop after which nobody has let the crew go on whose duty it is there. */
  held(dutyOf: (check: string) => string): Set<string> {
    return new Set([...this.stops].filter((check) => this.unreleased(check, dutyOf(check)).length > 0));
  }

  private addUp(check: string): CheckState {
    const live = this.actsAt(check).filter((act) => act.kind !== "released" && this.isLive(act));
    const oks = live.filter((act) => act.kind === "ok" && act.answers.size > 0);
    const standing = live.filter((act) => !oks.some((ok) => answers(ok, act, check)));
    let worst: CheckState = { state: "open", weight: null, standing: [] };
    for (const act of standing) {
      const made = alone(act, check);
      if (rank(made) > rank(worst)) worst = made;
    }
    return { ...worst, standing: standing.map((act) => act.id).sort() };
  }
}

/** Whether an ok answers an act at a check: it names it, and an ok for several checks answers no fault. */
export function answers(ok: Act, act: Act, check: string): boolean {
  return isAmong(act, ok.answers) && (kindAt(act, check) !== "fault" || ok.checks.length === 1);
}

/** The state that one act alone would make at a check that it names. */
export function alone(act: Act, check: string): CheckState {
  const kind = kindAt(act, check);
  const state = kind === "withdrawn" || kind === "released" ? "open" : kind;
  return { state, weight: kind === "fault" ? act.weight : null, standing: [] };
}

function isReleased(fault: Act, acts: Act[], duty: string, check: string): boolean {
  const menders = acts.filter((act) => act.kind === "ok" && answers(act, fault, check));
  return acts.some(
    (act) =>
      act.kind === "released" &&
      act.duty === duty &&
      isAmong(fault, act.answers) &&
      menders.some(({ author }) => author !== act.author),
  );
}
