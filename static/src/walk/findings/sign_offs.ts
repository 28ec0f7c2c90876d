/** Sign-offs of a book, and what each was signed over: exactly the entries that it covers. */

import type { EntryOf, KeptEntry } from "../../book/entry";
import { type Act, actOf, type CheckState, Fold } from "../../book/findings";
import { ByName, isAmong } from "../../book/names";

/** What a sign-off covers: its wall's states, and what was found where a stop ever was. */
interface Covered {
  states: Map<string, CheckState>;
  stops: Fold;
}

/** All sign-offs of a book; the states that each covers are worked out once, until an entry changes them. */
export class SignOffs {
  private readonly signed = new ByName<EntryOf<"signed_off">>();
  private readonly restores = new ByName<EntryOf<"restored">>();
  private readonly known = new Map<string, Covered>();

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

  /** What a sign-off covers: exactly its entries added up, given all entries of the book. */
  covered(signOff: EntryOf<"signed_off">, all: Iterable<KeptEntry>): Covered {
    const known = this.known.get(signOff.id);
    if (known) return known;
    const size = this.agreedSize(signOff);
    const own = new Set(signOff.body.own);
    const found = [...all].filter(
      (entry) => (entry.index !== null && entry.index < size) || isAmong(entry, own),
    );
    const made = addedUp(
      signOff.body.wall,
      found.map((entry) => actOf(entry, this.authorOf(entry.device))).filter((act) => act !== null),
    );
    this.known.set(signOff.id, made);
    return made;
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

function addedUp(wall: string, acts: Act[]): Covered {
  const fold = new Fold();
  fold.add(acts);
  const checks = fold.checks().filter((check) => check.startsWith(`${wall}/`));
  const stops = new Fold();
  stops.add(
    acts.filter(({ target, checks }) => target !== null || checks.some((one) => fold.stopped().has(one))),
  );
  return { states: new Map(checks.map((check) => [check, fold.state(check)])), stops };
}
