/** Leaves of a book whose texts this phone was not shown: it keeps their places, and asks again in another role. */

import type { StoredLeaf } from "../store/storage";

/** The bare leaves of one book, by their index. */
export class Leaves {
  private readonly byIndex = new Map<number, StoredLeaf>();

  keep(leaf: StoredLeaf): void {
    this.byIndex.set(leaf.index, leaf);
  }

  at(index: number): StoredLeaf | null {
    return this.byIndex.get(index) ?? null;
  }

  all(): Iterable<StoredLeaf> {
    return this.byIndex.values();
  }

  /** Its text is here now. */
  drop(index: number): void {
    this.byIndex.delete(index);
  }

  /** Let those go that a restore has cut off. */
  cut(size: number): void {
    for (const index of [...this.byIndex.keys()]) if (index >= size) this.byIndex.delete(index);
  }

  /** Places of those whose texts were not asked for in this role, at most `most`. */
  toAsk(role: string, most: number): number[] {
    const wanted = [...this.byIndex.values()].filter((leaf) => leaf.role !== role);
    return wanted
      .map(({ index }) => index)
      .sort((a, b) => a - b)
      .slice(0, most);
  }
}
