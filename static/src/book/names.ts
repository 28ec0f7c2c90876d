/**
 * What a reference to an entry means. An entry's signature has two forms, so it has two texts and two ids, and either
 * names it: ids are compared here and nowhere else.
 */

export interface Named {
  /** Hex of the leaf hash of the text that is kept. */
  id: string;
  /** The same of the text with the other form of the signature. */
  otherId: string;
}

/** Whether a reference names an entry. */
export function names({ id, otherId }: Named, reference: unknown): boolean {
  return reference === id || reference === otherId;
}

/** Whether any of these references names an entry. */
export function isAmong({ id, otherId }: Named, references: Pick<Set<string>, "has">): boolean {
  return references.has(id) || references.has(otherId);
}

/** Things of entries, one for each, found by either id. */
export class ByName<T extends Named> {
  private readonly byId = new Map<string, T>();
  private readonly idOf = new Map<string, string>();

  constructor(things: Iterable<T> = []) {
    for (const thing of things) this.set(thing);
  }

  get size(): number {
    return this.byId.size;
  }

  /** Put a thing in the place of what the same entry had. */
  set(thing: T): void {
    const before = this.get(thing.id);
    if (before !== undefined && before.id !== thing.id) this.byId.delete(before.id);
    this.byId.set(thing.id, thing);
    this.idOf.set(thing.otherId, thing.id);
    this.idOf.set(thing.id, thing.id);
  }

  get(reference: string): T | undefined {
    const id = this.idOf.get(reference);
    return id === undefined ? undefined : this.byId.get(id);
  }

  has(reference: string): boolean {
    return this.get(reference) !== undefined;
  }

  delete(reference: string): void {
    const thing = this.get(reference);
    if (thing === undefined) return;
    this.byId.delete(thing.id);
    this.idOf.delete(thing.id);
    this.idOf.delete(thing.otherId);
  }

  clear(): void {
    this.byId.clear();
    this.idOf.clear();
  }

  values(): IterableIterator<T> {
    return this.byId.values();
  }
}

/** Who took which entries back. */
export class Withdrawals {
  private readonly by = new Map<string, Set<string>>();

  add(reference: string, by: string): void {
    this.by.set(reference, (this.by.get(reference) ?? new Set()).add(by));
  }

  /** Those who took an entry back, by whichever of its ids. */
  of({ id, otherId }: Named): string[] {
    return [...(this.by.get(id) ?? []), ...(this.by.get(otherId) ?? [])];
  }
}
