/** Other texts over the signing inputs of this phone's entries: whoever came first at the server is kept, once. */

import type { KeptEntry } from "../book/entry";
import { type DeviceKey, type Jwk, split, verifies } from "../book/jws";
import { must } from "../book/must";
import type { StoredEntry } from "../store/storage";
import { Forked } from "../sync/pull";
import type { OpenBook } from "./open_book";
import type { Surroundings } from "./surroundings";

/** An entry that no head covered, and the text that stands for it from now on. */
export interface Replaced {
  old: StoredEntry;
  entry: KeptEntry;
}

/** Which entries of a page stand for texts that were here without a place in the book, each once. */
export function replacements(open: OpenBook, page: KeptEntry[]): Replaced[] {
  const found: Replaced[] = [];
  const settled = new Set<string>();
  for (const entry of page) {
    settled.add(entry.id);
    const same = open.stored(entry.id) ? null : open.numbers.sameAs(entry);
    if (same === null || same.index !== null || settled.has(same.id)) continue;
    settled.add(same.id);
    found.push({ old: must(open.stored(same.id)), entry });
  }
  return found;
}

/** The entries of a page as they are stored once a head covers them. */
export function seen(open: OpenBook, page: KeptEntry[], replaced: Replaced[]): StoredEntry[] {
  const before = new Map(replaced.map(({ old, entry }) => [entry.id, old]));
  const gone = new Set(replaced.map(({ old }) => old.id));
  return page.map(({ book, id, otherId, jws, index }): StoredEntry => {
    const known = before.get(id) ?? (gone.has(id) ? undefined : open.stored(id));
    return { book, id, otherId, jws, index, mine: known?.mine ?? false, sending: "seen" };
  });
}

/** What this phone asks of the texts that come to stand for entries that it made. */
export class OurTexts {
  constructor(
    private readonly around: Surroundings,
    private readonly key: DeviceKey,
    private readonly open: OpenBook,
  ) {}

  /** Throws Forked unless each text that stands for an entry made here has a signature by the same key. */
  async check(replaced: Replaced[]): Promise<void> {
    for (const { old, entry } of replaced.filter((item) => item.old.mine)) {
      const key = this.keyOf(old, entry.device);
      if (key !== null && !(await isBy(entry, key)))
        throw new Forked(
          `the book holds a text for entry ${entry.n} of this phone that this phone's key did not sign`,
        );
    }
  }

  /** Write the texts that stand for entries made here to the log, before anything else has them. */
  log(replaced: Replaced[]): void {
    for (const { entry } of replaced.filter(({ old }) => old.mine)) {
      const { book, jws } = entry;
      this.around.log.append({ kind: "entry", book, jws });
    }
  }

  /** The key of an entry that was made here, perhaps before this phone had its present key. */
  private keyOf(old: StoredEntry, device: string): Jwk | null {
    if (device === this.key.thumbprint) return this.key.jwk;
    return split(old.jws).header.jwk ?? this.open.keyOf(device);
  }
}

async function isBy(entry: KeptEntry, key: Jwk): Promise<boolean> {
  return verifies(entry.jws, key).catch(() => false);
}
