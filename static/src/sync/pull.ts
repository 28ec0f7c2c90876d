/** Taking a page of a book in: every entry read, the root recomputed, the signed head compared. */

import { fromHex, hex } from "../book/bytes";
import { type BareLeaf, bothIds, isSame, type KeptEntry, parseLeaf } from "../book/entry";
import { readHead } from "../book/head";
import { type Jwk, thumbprint, verifies } from "../book/jws";
import { extend, rootHash } from "../book/merkle";
import type { StoredBook } from "../store/storage";
import type { EntryLeaf } from "./messages";

/** The book a phone is offered is not the one it has seen: it stops, keeps everything and says so. */
export class Forked extends Error {}

/** A book after a page, and what the page held. */
export interface Pulled {
  book: StoredBook;
  entries: KeptEntry[];
  leaves: BareLeaf[];
}

/**
 * Extend what is known of a book by the leaves that follow it. `head` is null while more pages come; `isHere` says
 * whether another text over an entry's signing input came before.
 * Throws Forked when owner, epoch, head or root are not what they must be.
 */
export async function pull(
  known: StoredBook,
  ownerFingerprint: string,
  page: (string | EntryLeaf)[],
  head: string | null,
  isHere: (entry: KeptEntry) => boolean = () => false,
): Promise<Pulled> {
  let keys: Keys = known;
  const read = await Promise.all(page.map((leaf, i) => readLeaf(leaf, known.book, known.frontier.size + i)));
  const entries = read.filter(isText);
  for (const [i, entry] of entries.entries()) {
    const isTwin = () => isHere(entry) || entries.slice(0, i).some((other) => isSame(other, entry));
    if (entry.index === 0 || (CHANGES_KEYS.includes(entry.type) && !isTwin()))
      keys = await keysAfter(keys, entry, ownerFingerprint);
  }
  const frontier = await extend(
    known.frontier,
    read.map(({ id }) => fromHex(id)),
  );
  const { ownerJwk, headKey, epoch } = keys;
  const book: StoredBook = { ...known, frontier, ownerJwk, headKey, epoch };
  if (head !== null) await checkHead(book, head);
  const leaves = read.flatMap((leaf) => (isText(leaf) ? [] : [leaf]));
  return { book: head === null ? book : { ...book, head }, entries, leaves };
}

/** Whether a leaf is here with its text. */
export function isText(leaf: KeptEntry | BareLeaf): leaf is KeptEntry {
  return "jws" in leaf;
}

async function readLeaf(
  leaf: string | EntryLeaf,
  book: string,
  index: number,
): Promise<KeptEntry | BareLeaf> {
  if (typeof leaf === "string") return parseLeaf(leaf, await bothIds(leaf), book, index);
  if (!/^[0-9a-f]{64}$/.test(leaf?.leaf))
    throw new Forked(`entry ${index} is neither a text nor a leaf hash`);
  return { book, id: leaf.leaf, index };
}

const CHANGES_KEYS = ["head_key_changed", "restored"];

/** Whose book it is, in which epoch, and who signs its heads. */
export type Keys = Pick<StoredBook, "ownerJwk" | "headKey" | "epoch">;

/** The keys after one more entry; those that change them must be the owner's, or Forked is thrown. */
export async function keysAfter(keys: Keys, entry: KeptEntry, ownerFingerprint: string): Promise<Keys> {
  const { type, body } = entry;
  if (entry.index === 0) {
    if (type !== "book_opened" || (await thumbprint(body.owner_jwk)) !== ownerFingerprint) {
      throw new Forked("the book belongs to somebody else than the invite said");
    }
    await checkOwners(entry, body.owner_jwk);
    return { ownerJwk: body.owner_jwk, headKey: body.head_jwk, epoch: body.epoch };
  }
  if (type !== "restored" && type !== "head_key_changed") return keys;
  if (type === "restored" ? body.epoch <= keys.epoch : body.epoch !== keys.epoch) return keys;
  await checkOwners(entry, keys.ownerJwk);
  return { ...keys, headKey: body.head_jwk, epoch: body.epoch };
}

/** Throws Forked unless the owner signed the entry. */
export async function checkOwners(entry: KeptEntry, ownerJwk: Jwk | null): Promise<void> {
  const fits = ownerJwk !== null && entry.device === (await thumbprint(ownerJwk));
  if (!fits || !(await verifies(entry.jws, ownerJwk)))
    throw new Forked(`${entry.type}: not signed by the owner`);
}

async function checkHead(book: StoredBook, head: string): Promise<void> {
  if (book.headKey === null) throw new Forked("the book has no key for heads");
  const signed = await readHead(head, book.headKey).catch((error: Error) => {
    throw new Forked(error.message);
  });
  const { size } = book.frontier;
  if (signed.book !== book.book || signed.size !== size || signed.epoch !== book.epoch) {
    throw new Forked("the head speaks of another book, epoch or size");
  }
  if (book.epoch < book.leastEpoch)
    throw new Forked("the book is of an epoch before the one this phone has seen");
  if (signed.root !== hex(await rootHash(book.frontier)))
    throw new Forked("the entries do not add up to the head");
}
