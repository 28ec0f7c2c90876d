/** Taking a page of a book in: every entry read, the root recomputed, the signed head compared. */

import { fromHex, hex } from "../book/bytes";
import { type KeptEntry, readEntry } from "../book/entry";
import { readHead } from "../book/head";
import { type Jwk, thumbprint } from "../book/jws";
import { extend, rootHash } from "../book/merkle";
import type { StoredBook } from "../store/storage";

/** The book a phone is offered is not the one it has seen: it stops, keeps everything and says so. */
export class Forked extends Error {}

export interface Pulled {
  book: StoredBook;
  entries: KeptEntry[];
}

/**
 * Extend what is known of a book by the entries that follow it. `head` is null while more pages come.
 * Throws Forked when owner, head or root are not what they must be.
 */
export async function pull(
  known: StoredBook,
  ownerFingerprint: string,
  texts: string[],
  head: string | null,
): Promise<Pulled> {
  let headKey = known.headKey;
  const entries: KeptEntry[] = [];
  for (const [offset, jws] of texts.entries()) {
    const entry = await readEntry(jws, known.frontier.size + offset);
    if (entry.index === 0) await checkOwner(entry, ownerFingerprint);
    headKey = headKeyAfter(entry, headKey);
    entries.push(entry);
  }
  const frontier = await extend(
    known.frontier,
    entries.map((entry) => fromHex(entry.id)),
  );
  const book: StoredBook = { ...known, frontier, headKey };
  if (head === null) return { book, entries };
  if (headKey === null) throw new Forked("the book has no key for heads");
  const signed = await readHead(head, headKey).catch((error: Error) => {
    throw new Forked(error.message);
  });
  if (signed.book !== known.book || signed.size !== frontier.size) {
    throw new Forked("the head speaks of another book or size");
  }
  if (signed.root !== hex(await rootHash(frontier)))
    throw new Forked("the entries do not add up to the head");
  return { book: { ...book, head, epoch: signed.epoch }, entries };
}

async function checkOwner(entry: KeptEntry, ownerFingerprint: string): Promise<void> {
  const owner = entry.type === "book_opened" ? await thumbprint(entry.body.owner_jwk as Jwk) : "";
  if (owner !== ownerFingerprint) throw new Forked("the book belongs to somebody else than the invite said");
}

function headKeyAfter(entry: KeptEntry, key: Jwk | null): Jwk | null {
  const opens = entry.type === "book_opened" || entry.type === "head_key_changed";
  return opens ? (entry.body.head_jwk as Jwk) : key;
}
