/** The entries of a book by device and number: which are one entry, and what a device wrote last. */

import { isSame, type KeptEntry } from "../book/entry";

/** All entries of one book, by device and number. */
export class Numbers {
  private readonly at = new Map<string, KeptEntry[]>();
  private readonly newest = new Map<string, KeptEntry>();

  /** Take an entry in, or what has changed about it. */
  add(entry: KeptEntry): void {
    this.at.set(numberOf(entry), [...this.others(entry), entry]);
    if (entry.n >= (this.newest.get(entry.device)?.n ?? 0)) this.newest.set(entry.device, entry);
  }

  remove(entry: KeptEntry): void {
    this.at.set(numberOf(entry), this.others(entry));
  }

  /** The newest entry that a device made. */
  newestOf(device: string): KeptEntry | null {
    return this.newest.get(device) ?? null;
  }

  /** What is here over the same signing input under another id; the one that came first, if there are several. */
  sameAs(entry: KeptEntry): KeptEntry | null {
    const place = ({ index }: KeptEntry) => index ?? Number.POSITIVE_INFINITY;
    const same = this.others(entry).filter((other) => isSame(other, entry));
    return same.sort((a, b) => (place(a) < place(b) ? -1 : 1))[0] ?? null;
  }

  /** Whether another text over an entry's signing input has a place in the book. */
  hasPlace(entry: KeptEntry): boolean {
    return (this.sameAs(entry)?.index ?? null) !== null;
  }

  private others(entry: KeptEntry): KeptEntry[] {
    return (this.at.get(numberOf(entry)) ?? []).filter(({ id }) => id !== entry.id);
  }
}

function numberOf({ device, n }: KeptEntry): string {
  return `${device}/${n}`;
}
