/** Checks whose oks all came quicker than anybody can look, and what their people say of it. */

import type { EntryOf, KeptEntry } from "../../book/entry";
import { isAmong } from "../../book/names";
import type { Show } from "../show/show";

type Answered = EntryOf<"pace_answered">;

/** What stands behind an ok check whose looks were all too quick. */
export interface Quick {
  check: string;
  oks: EntryOf<"found">[];
  /** By these they say that they looked first and tapped later; none while it waits for another look. */
  afterwards: Answered[];
}

/** Those of some checks, by their ids, that nobody looked at who had the time. */
export function quickOf(show: Show, checks: string[]): Quick[] {
  const answered = show.records.all("pace_answered").map((said) => ({
    said,
    author: show.authorOf(said.device),
    entries: new Set(said.body.entries),
  }));
  return checks.flatMap((check) => {
    const oks = show.taps.at(check, show.fold, (id) => show.entries.get(id));
    if (oks.length === 0) return [];
    const answers = answered.filter(({ author, entries }) =>
      oks.some((ok) => show.authorOf(ok.device) === author && isAmong(ok, entries)),
    );
    return [{ check, oks, afterwards: answers.map(({ said }) => said) }];
  });
}

/** Whether an entry is an ok that came faster than anybody can look. */
export function isQuick({ taps, fold }: Show, entry: KeptEntry): boolean {
  return taps.of(entry.device, fold).has(entry.id);
}
