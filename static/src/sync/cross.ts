/** Going on behind a restore: the owner says that the server came back from an older copy. */

import { fromHex, hex } from "../book/bytes";
import { type BareLeaf, type EntryOf, type KeptEntry, readEntry } from "../book/entry";
import { EMPTY, extend, rootHash } from "../book/merkle";
import type { StoredBook } from "../store/storage";
import { checkOwners, Forked, isText, type Keys, keysAfter } from "./pull";

/** Both sides of a restore. */
export interface Crossing {
  /** The book as it is up to the restore's base; its head waits for the next page. */
  book: StoredBook;
  /** What this phone has seen behind the base, in its old order: its texts are sent again. */
  cut: (KeptEntry | BareLeaf)[];
}

/**
 * Cross restores that the server names, given everything seen so far in index order. Throws Forked unless each is
 * the owner's, of a later epoch, and vouches for just what this phone has seen before the base.
 */
export async function cross(
  known: StoredBook,
  seen: (KeptEntry | BareLeaf)[],
  ownerFingerprint: string,
  texts: string[],
): Promise<Crossing> {
  const restores = await Promise.all(texts.map((text) => readRestore(text, known)));
  const first = restores.reduce<EntryOf<"restored"> | null>(
    (least, entry) => (least && least.body.base_size <= entry.body.base_size ? least : entry),
    null,
  );
  if (first === null) throw new Forked("the server names no restore to cross");
  const base = Math.min(first.body.base_size, seen.length);
  const kept = seen.slice(0, base);
  const frontier = await extend(
    EMPTY,
    kept.map((entry) => fromHex(entry.id)),
  );
  if (base === first.body.base_size && hex(await rootHash(frontier)) !== first.body.base_root) {
    throw new Forked("the restore vouches for other entries than this phone has seen");
  }
  let keys: Keys = { ownerJwk: null, headKey: null, epoch: 1 };
  for (const entry of kept.filter(isText).filter((one) => one.void === null))
    keys = await keysAfter(keys, entry, ownerFingerprint);
  const leastEpoch = Math.max(...restores.map((entry) => entry.body.epoch));
  const oldHeads = known.head === null ? known.oldHeads : [...known.oldHeads, known.head];
  return { book: { ...known, ...keys, frontier, leastEpoch, oldHeads, head: null }, cut: seen.slice(base) };
}

async function readRestore(text: string, known: StoredBook): Promise<EntryOf<"restored">> {
  const entry = await readEntry(text, null).catch((error: Error) => {
    throw new Forked(error.message);
  });
  if (entry.type !== "restored" || entry.book !== known.book || entry.body.epoch <= known.epoch) {
    throw new Forked("what the server names is no restore of this book");
  }
  await checkOwners(entry, known.ownerJwk);
  return entry;
}
