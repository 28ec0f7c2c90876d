/** Which oks of a show came faster than anybody can look, phone by phone. */

import { type EntryOf, isOf, type KeptEntry } from "../../book/entry";
import type { Fold } from "../../book/findings";
import { type Tap, tooQuick } from "./pace_rule";

type Found = EntryOf<"found">;

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
      const at = tooQuick(found.map((entry) => tapOf(entry, fold)));
      quick = new Map(at.flatMap((place) => found[place] ?? []).map((entry) => [entry.id, entry]));
      this.known.set(device, quick);
    }
    return quick;
  }

  /** The oks that stand at a check; none unless it is ok and nobody looked at it who had the time. */
  at(check: string, fold: Fold, found: (id: string) => KeptEntry | undefined): Found[] {
    const { state, standing } = fold.state(check);
    if (state !== "ok") return [];
    const entries = standing.flatMap((id) => found(id) ?? []).filter((entry) => isOf(entry, ["found"]));
    const oks = entries.filter(({ body }) => body.result === "ok");
    return oks.every(({ id, device }) => this.of(device, fold).has(id)) ? oks : [];
  }
}

/** An entry as a tap: only an ok that was looked for then and stands needs time. */
function tapOf({ id, at, body }: Found, fold: Fold): Tap {
  const act = fold.acts.get(id);
  const counts = body.result === "ok" && !body.paper && act !== undefined && fold.isLive(act);
  return { at_ms: Date.parse(at), checks: counts ? body.checks : [] };
}
