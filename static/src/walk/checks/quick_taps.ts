/** Which oks of a show came faster than anybody can look, phone by phone, and what was said or looked at since. */

import type { EntryOf, KeptEntry } from "../../book/entry";
import type { Fold } from "../../book/findings";
import { type Tap, tooQuick } from "./pace_rule";

type Found = EntryOf<"found">;

/** The reason of an ok by which somebody says: I had looked before, and tapped afterwards. */
export const TAPPED_AFTERWARDS = "tapped_afterwards";

/** What stands behind an ok check whose looks were all too quick: quick oks, and those that say why. */
export interface Quick {
  check: string;
  oks: Found[];
  /** The oks of the same people that say that they were tapped afterwards; none while it waits for another look. */
  afterwards: Found[];
}

/** What each phone found, kept up to date entry by entry. */
export class QuickTaps {
  private readonly phones = new Map<string, Found[]>();
  /** The quick oks of each phone by their ids; worked out when they are asked for. */
  private readonly known = new Map<string, Map<string, Found>>();

  add(entry: KeptEntry): void {
    if (entry.type === "withdrawn") this.known.clear();
    if (entry.type !== "found") return;
    const own = this.phones.get(entry.device) ?? [];
    this.phones.set(entry.device, own);
    own.push(entry);
    if ((own.at(-2)?.n ?? 0) > entry.n) own.sort((a, b) => a.n - b.n);
    this.known.delete(entry.device);
  }

  /** Whose word stands may have changed. */
  addUpAnew(): void {
    this.known.clear();
  }

  /** The quick oks of a phone by their ids. */
  of(device: string, fold: Fold): Map<string, Found> {
    let quick = this.known.get(device);
    if (quick === undefined) {
      const found = this.phones.get(device) ?? [];
      quick = new Map(
        tooQuick(found.map((entry) => tapOf(entry, fold))).flatMap((at) => {
          const entry = found[at];
          return entry ? [[entry.id, entry]] : [];
        }),
      );
      this.known.set(device, quick);
    }
    return quick;
  }

  /** What is to be said of a check's pace; null unless it is ok and nobody looked at it who had the time. */
  at(check: string, fold: Fold, found: (id: string) => KeptEntry | undefined): Quick | null {
    const { state, standing } = fold.state(check);
    if (state !== "ok") return null;
    const oks: Found[] = [];
    const said: Found[] = [];
    for (const id of standing) {
      const entry = found(id);
      if (entry?.type !== "found" || entry.body.result !== "ok") continue;
      if (entry.body.reason === TAPPED_AFTERWARDS) said.push(entry);
      else if (this.of(entry.device, fold).has(entry.id)) oks.push(entry);
      else return null;
    }
    const people = new Set(oks.map(({ id }) => fold.acts.get(id)?.author));
    const afterwards = said.filter(({ id }) => people.has(fold.acts.get(id)?.author));
    return oks.length > 0 || said.length > 0 ? { check, oks, afterwards } : null;
  }
}

/** An entry as a tap: only an ok that was looked for then and stands needs time. */
function tapOf({ id, at, body }: Found, fold: Fold): Tap {
  const act = fold.acts.get(id);
  const counts =
    body.result === "ok" && !body.paper && body.reason !== TAPPED_AFTERWARDS && act && fold.isLive(act);
  return { at_ms: Date.parse(at), checks: counts ? body.checks : [] };
}
