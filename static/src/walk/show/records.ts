/** Entries of which the newest holds, and those that are listed one after another. */

import { type EntryOf, type EntryType, isOf, type KeptEntry } from "../../book/entry";
import { ByName, names, Withdrawals } from "../../book/names";

const NEWEST = ["stock_listed", "procedures_listed", "contacts_listed", "prep_listed"] as const;
type NewestType = (typeof NEWEST)[number];
const SHARED = "work_shared";
const TOLD = [
  "procedure_walked",
  "strike_opened",
  "strike_closed",
  "circuits_switched",
  "pace_answered",
  "swapped",
  "parts_counted",
  "item_looked_at",
  "item_benched",
  "hire_handed_over",
  "countersigned",
] as const;
/** The types that are listed one after another. */
export type ToldType = (typeof TOLD)[number];

/** What stands of a book's lists and of what was written down; what its author took back does not. */
export class Records {
  private readonly listed = new Map<string, ByName<EntryOf<NewestType | typeof SHARED>>>();
  private readonly told = new ByName<EntryOf<ToldType>>();
  private readonly withdrawn = new Withdrawals();

  /** Who is behind a device may become known later. */
  constructor(private readonly authorOf: (device: string) => string) {}

  add(entry: KeptEntry): void {
    if (entry.type === SHARED) this.list(sharingOf(entry.body.wall, entry.body.walk), entry);
    else if (isOf(entry, NEWEST)) this.list(entry.type, entry);
    else if (isOf(entry, TOLD)) this.told.set(entry);
    else if (entry.type === "withdrawn") this.withdrawn.add(entry.body.entry, entry.device);
  }

  private list(key: string, entry: EntryOf<NewestType | typeof SHARED>): void {
    const all = this.listed.get(key) ?? new ByName();
    all.set(entry);
    this.listed.set(key, all);
  }

  /** The newest entry of a type; what is not in the book yet comes last. */
  newest<T extends NewestType>(type: T): EntryOf<T> | null {
    return this.newestOf(type, [type]);
  }

  /** How a walk is shared out. */
  sharing(wall: string, walk: string): EntryOf<typeof SHARED> | null {
    return this.newestOf(sharingOf(wall, walk), [SHARED]);
  }

  private newestOf<T extends EntryType>(key: string, types: readonly T[]): EntryOf<T> | null {
    const listed: KeptEntry[] = [...(this.listed.get(key)?.values() ?? [])];
    const live = listed.filter((entry) => isOf(entry, types)).filter((entry) => this.isLive(entry));
    const place = ({ index }: KeptEntry) => index ?? Number.MAX_SAFE_INTEGER;
    return live.sort((a, b) => place(b) - place(a) || b.n - a.n)[0] ?? null;
  }

  /** The entries of a type that were not taken back, newest first. */
  all<T extends ToldType>(type: T): EntryOf<T>[] {
    const told: KeptEntry[] = [...this.told.values()];
    const live = told.filter((entry) => isOf(entry, [type])).filter((entry) => this.isLive(entry));
    return live.sort((a, b) => b.at.localeCompare(a.at));
  }

  /** Where the strike of a wall was opened and not closed again, newest first. */
  opened(wall: string): EntryOf<"strike_opened">[] {
    const closed = this.all("strike_closed");
    return this.all("strike_opened").filter(
      (entry) => entry.body.wall === wall && !closed.some(({ body }) => names(entry, body.opened)),
    );
  }

  /** The circuits of a wall that were switched on to test them and not off again: each with who did it. */
  live(wall: string): Map<string, EntryOf<"circuits_switched">> {
    const found = new Map<string, EntryOf<"circuits_switched">>();
    const place = ({ index }: KeptEntry) => index ?? Number.MAX_SAFE_INTEGER;
    const switched = this.all("circuits_switched").filter(({ body }) => body.wall === wall);
    for (const entry of switched.sort((a, b) => place(a) - place(b) || a.n - b.n)) {
      for (const circuit of entry.body.circuits) {
        if (entry.body.live) found.set(circuit, entry);
        else found.delete(circuit);
      }
    }
    return found;
  }

  /** The other side's words about a handover, newest first. */
  answersTo(handover: KeptEntry): EntryOf<"countersigned">[] {
    return this.all("countersigned").filter(({ body }) => names(handover, body.entry));
  }

  private isLive(entry: KeptEntry): boolean {
    const author = this.authorOf(entry.device);
    return !this.withdrawn.some(entry, (by) => this.authorOf(by) === author);
  }
}

function sharingOf(wall: string, walk: string): string {
  return `${SHARED}/${wall}/${walk}`;
}
