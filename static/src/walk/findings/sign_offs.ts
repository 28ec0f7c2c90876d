/** Sign-offs of a book, and what each was signed over: exactly the entries that it covers. */

import type { EntryOf, KeptEntry } from "../../book/entry";
import { actOf, type CheckState, Fold } from "../../book/findings";
import { ByName, isAmong } from "../../book/names";

/** All sign-offs of a book; the states that each covers are worked out once, until an entry changes them. */
export class SignOffs {
  private readonly signed = new ByName<EntryOf<"signed_off">>();
  private readonly restores = new ByName<EntryOf<"restored">>();
  private readonly known = new Map<string, Map<string, CheckState>>();

  /** Who is behind a device may become known later: call `addUpAnew` then. */
  constructor(private readonly authorOf: (device: string) => string) {}

  add(entry: KeptEntry): void {
    if (entry.type === "signed_off") this.signed.set(entry);
    if (entry.type === "restored") {
      this.restores.set(entry);
      this.known.clear();
    }
    for (const signOff of this.signed.values()) {
      if (this.covers(signOff, entry)) this.known.delete(signOff.id);
    }
  }

  addUpAnew(): void {
    this.known.clear();
  }

  /** Those of a wall, newest first. */
  of(wall: string): EntryOf<"signed_off">[] {
    const place = (entry: KeptEntry) => entry.index ?? Number.MAX_SAFE_INTEGER;
    return [...this.signed.values()]
      .filter((entry) => entry.body.wall === wall)
      .sort((a, b) => place(b) - place(a) || b.n - a.n);
  }

  /** The states of its wall over exactly the entries that a sign-off covers, given all entries of the book. */
  covered(signOff: EntryOf<"signed_off">, all: Iterable<KeptEntry>): Map<string, CheckState> {
    const known = this.known.get(signOff.id);
    if (known) return known;
    const size = this.agreedSize(signOff);
    const own = new Set(signOff.body.own);
    const found = [...all].filter(
      (entry) => (entry.index !== null && entry.index < size) || isAmong(entry, own),
    );
    const fold = new Fold();
    fold.add(found.map((entry) => actOf(entry, this.authorOf(entry.device))).filter((act) => act !== null));
    const checks = fold.checks().filter((check) => check.startsWith(`${signOff.body.wall}/`));
    const states = new Map(checks.map((check) => [check, fold.state(check)]));
    this.known.set(signOff.id, states);
    return states;
  }

  private covers(signOff: EntryOf<"signed_off">, entry: KeptEntry): boolean {
    const { size, own } = signOff.body;
    return (entry.index !== null && entry.index < size) || isAmong(entry, new Set(own));
  }

  /** How many of the entries that a sign-off covers stand in their order after later restores. */
  private agreedSize({ body }: EntryOf<"signed_off">): number {
    const later = [...this.restores.values()].filter((entry) => entry.body.epoch > body.epoch);
    return Math.min(body.size, ...later.map((entry) => entry.body.base_size));
  }
}
