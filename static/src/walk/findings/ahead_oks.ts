/** Checks that are ok ahead of their turn: what was not there yet, so far as anybody knows by now. */

import { type EntryOf, isOf } from "../../book/entry";
import type { Show } from "../show/show";

/** An ok that stands though what it rests on was not there yet. */
export interface AheadOk {
  check: string;
  ok: EntryOf<"found">;
  reason: string;
  /** Checks that were not ok before it, by both phones' clocks. */
  missing: string[];
  /** Whether a stop held the place. */
  held: boolean;
}

/** Those of some checks, by their ids. What turns out to have been looked at before takes the mark away. */
export function aheadOks(show: Show, checks: string[]): AheadOk[] {
  const known = new Map<string, string[]>();
  return checks.flatMap((check) => {
    const { state, standing } = show.fold.state(check);
    if (state !== "ok") return [];
    const oks = standing
      .flatMap((id) => show.entries.get(id) ?? [])
      .filter((entry) => isOf(entry, ["found"]));
    return oks.flatMap((ok) => {
      const { ahead } = ok.body;
      if (!ahead || ok.body.result !== "ok") return [];
      const missing = known.get(ok.id) ?? stillMissing(show, ok);
      known.set(ok.id, missing);
      const held = (ahead.held ?? []).length > 0;
      return missing.length > 0 || held ? [{ check, ok, reason: ahead.reason, missing, held }] : [];
    });
  });
}

function stillMissing({ fold }: Show, ok: EntryOf<"found">): string[] {
  const wasThere = (check: string) =>
    fold.actsAt(check).some((act) => act.kind === "ok" && fold.isLive(act) && act.at <= ok.at);
  return (ok.body.ahead?.missing ?? []).filter((check) => !wasThere(check));
}
