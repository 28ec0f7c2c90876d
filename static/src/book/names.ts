/**
 * What a reference to an entry means. An entry's signature has two forms, so it has two texts and two ids, and either
 * names it: ids are compared here and nowhere else.
 */

/** Whatever has the two ids of an entry. */
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
  /** Made when a reference first names an entry by its other id, and kept up from then on. */
  private byOther: Map<string, T> | null = null;

  constructor(things: Iterable<T> = []) {
    for (const thing of things) this.set(thing);
  }

  get size(): number {
    return this.byId.size;
  }

  /** Put a thing in the place of what the same entry had. */
  set(thing: T): void {
    if (!this.byId.has(thing.id)) this.byId.delete(thing.otherId);
    this.byId.set(thing.id, thing);
    this.byOther?.delete(thing.id);
    this.byOther?.set(thing.otherId, thing);
  }

  /** What a reference names. */
  get(reference: string): T | undefined {
    const found = this.byId.get(reference);
    if (found !== undefined) return found;
    this.byOther ??= new Map([...this.byId.values()].map((thing) => [thing.otherId, thing]));
    return this.byOther.get(reference);
  }

  /** What is here of an entry, in whichever form. */
  of({ id, otherId }: Named): T | undefined {
    return this.byId.get(id) ?? this.byId.get(otherId);
  }

  delete(thing: T): void {
    this.byId.delete(thing.id);
    this.byOther?.delete(thing.otherId);
  }

  clear(): void {
    this.byId.clear();
    this.byOther = null;
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

  /** Whether one of those who took an entry back, by whichever of its ids, is such a one. */
  some({ id, otherId }: Named, isSuch: (by: string) => boolean): boolean {
    if (this.by.size === 0) return false;
    const [one, other] = [this.by.get(id), this.by.get(otherId)];
    return (one !== undefined && [...one].some(isSuch)) || (other !== undefined && [...other].some(isSuch));
  }
}
