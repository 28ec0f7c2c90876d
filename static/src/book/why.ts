/** Why a check stands as it does. Rules as in server/seamwalk/domain/findings/explanation.py. */

import { type Act, alone, type Fold, kindAt, rank } from "./findings";
import { isAmong } from "./names";

/** The reasons that there are; each has its sentence, `why.*` in the texts. */
export type WhyKey =
  | "open"
  | "not_reached"
  | "ok"
  | "mended"
  | "reopened"
  | "reopened_since"
  | "fault"
  | "fault_unseen"
  | "fault_shared"
  | "fault_revived";

/** A reason with the acts that it rests on. */
export interface Why {
  key: WhyKey;
  /** Ids of the acts that make the state, sorted. */
  acts: string[];
  /** Ids of the acts that bear on it, sorted. */
  others: string[];
}

/** Why a check is in its state; the same answer as the server gives. */
export function why(fold: Fold, check: string): Why {
  const state = fold.state(check);
  const here = fold.actsAt(check);
  const standing = here.filter(
    (act) => state.standing.includes(act.id) && rank(alone(act, check)) === rank(state),
  );
  if (standing.length === 0) return tell("open", [], []);
  const oks = here.filter((act) => act.kind === "ok" && fold.isLive(act));
  switch (state.state) {
    case "not_reached":
      return tell("not_reached", standing, []);
    case "ok": {
      const answered = new Set(oks.flatMap((ok) => [...ok.answers]));
      const mended = here.filter((act) => isAmong(act, answered) && fold.isLive(act) && asks(act, check));
      return tell(mended.length > 0 ? "mended" : "ok", standing, mended);
    }
    case "reopened":
      return tell(oks.length > 0 ? "reopened_since" : "reopened", standing, oks);
    default:
      return whyFault(fold, here, standing, oks);
  }
}

function whyFault(fold: Fold, here: readonly Act[], standing: Act[], oks: Act[]): Why {
  const names = (ok: Act) => standing.some((act) => isAmong(act, ok.answers));
  const shared = oks.filter((ok) => ok.checks.length > 1 && names(ok));
  if (shared.length > 0) return tell("fault_shared", standing, shared);
  if (oks.length > 0) return tell("fault_unseen", standing, oks);
  const takenBack = here.filter((act) => act.kind === "ok" && !fold.isLive(act) && names(act));
  return tell(takenBack.length > 0 ? "fault_revived" : "fault", standing, takenBack);
}

function asks(act: Act, check: string): boolean {
  return ["fault", "reopened"].includes(kindAt(act, check));
}

function tell(key: WhyKey, acts: Act[], others: Act[]): Why {
  const ids = (list: Act[]) => list.map((act) => act.id).sort();
  return { key, acts: ids(acts), others: ids(others) };
}
