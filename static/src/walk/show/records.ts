/** Entries of which the newest holds, and those that are simply told one after another. */

import type { EntryType, KeptEntry } from "../../book/entry";
import { ByName, names, Withdrawals } from "../../book/names";

const NEWEST: EntryType[] = [
  "stock_listed",
  "procedures_listed",
  "contacts_listed",
  "prep_listed",
  "work_shared",
];
const TOLD = [
  "procedure_walked",
  "swapped",
  "parts_counted",
  "item_looked_at",
  "item_benched",
  "hire_handed_over",
  "countersigned",
] as const;
/** The types that are told one after another. */
export type ToldType = (typeof TOLD)[number];

function isTold(type: string): type is ToldType {
  return TOLD.some((told) => told === type);
}

/** What stands of a book's lists and tellings; what its author took back does not. */
export class Records {
  private readonly listed = new Map<string, ByName<KeptEntry>>();
  private readonly told = new ByName<KeptEntry>();
  private readonly withdrawn = new Withdrawals();

  /** Who is behind a device may become known later. */
  constructor(private readonly authorOf: (device: string) => string) {}

  add(entry: KeptEntry): void {
    const { type, body } = entry;
    if (NEWEST.includes(type)) {
      const key = type === "work_shared" ? `${type}/${body.wall}/${body.walk}` : type;
      const all = this.listed.get(key) ?? new ByName<KeptEntry>();
      all.set(entry);
      this.listed.set(key, all);
    } else if (isTold(type)) {
      this.told.set(entry);
    } else if (type === "withdrawn") {
      this.withdrawn.add(body.entry, entry.device);
    }
  }

  /** The newest entry of a type; what is not in the book yet comes last. */
  newest(key: string): KeptEntry | null {
    const all = [...(this.listed.get(key)?.values() ?? [])].filter((entry) => this.isLive(entry));
    const place = ({ index }: KeptEntry) => index ?? Number.MAX_SAFE_INTEGER;
    return all.sort((a, b) => place(b) - place(a) || b.n - a.n)[0] ?? null;
  }

  sharing(wall: string, walk: string): KeptEntry | null {
    return this.newest(`work_shared/${wall}/${walk}`);
  }

  /** What was told of a type and not taken back, newest first. */
  all(type: ToldType): KeptEntry[] {
    const live = [...this.told.values()].filter((entry) => entry.type === type && this.isLive(entry));
    return live.sort((a, b) => b.at.localeCompare(a.at));
  }

  /** The other side's words about a handover, newest first. */
  answersTo(handover: KeptEntry): KeptEntry[] {
    return this.all("countersigned").filter(({ body }) => names(handover, body.entry));
  }

  private isLive(entry: KeptEntry): boolean {
    const author = this.authorOf(entry.device);
    return !this.withdrawn.some(entry, (by) => this.authorOf(by) === author);
  }
}
