/** Entries of a book: their types, and how one is read from its compact JWS. */

import blobFields from "./blob_fields.json";
import type { Bodies, Statement } from "./bodies";
import { hex, utf8 } from "./bytes";
import entryTypes from "./entry_types.json";
import { otherForm, readJson, signingInput, split } from "./jws";
import { leafHash } from "./merkle";
import type { Named } from "./names";
import { isShaped } from "./shapes";

/** Each type, and the version in which it is written now. */
export const ENTRY_TYPES: Readonly<Record<EntryType, number>> = entryTypes;

export type EntryType = keyof Bodies;
export type Result = Bodies["found"]["result"];
export type Weight = NonNullable<Bodies["found"]["weight"]>;
export type { Statement };

/**
 * Why a leaf of the book has no effect: it is a second text over a signing input that stands before it, or an entry
 * that only such a text let in, or it came in after the office had said something newer of the same device.
 */
export type Void = "twin" | "let_in_by_twin" | "outdated";

interface Kept extends Named {
  jws: string;
  book: string;
  /** The type as the text has it, also where it is nothing that this phone can read. */
  said: string;
  device: string;
  n: number;
  prev: string | null;
  /** Device clock, UTC: a claim. */
  at: string;
  /** Place in the book, or null while no checked head covers it. */
  index: number | null;
  void: Void | null;
}

/** An entry of a type, with what that type holds. */
export type EntryOf<T extends EntryType> = { [One in T]: Kept & { type: One; body: Bodies[One] } }[T];

/** Texts that a body names by their blobs: the writer salts them, keeps them and puts the names in. */
type Noted = "name_blob" | "note_blob" | "party_blob";

/** What a screen says of an entry: its texts have no names yet, and what stands behind every act is still to come. */
export type Draft<T extends EntryType> = {
  [One in T]: Omit<Bodies[One], Noted | "paper" | "edition">;
}[T];

/**
 * What stands for the type of an entry that this phone cannot read: a leaf that the head covers all the same. Readers
 * of bodies know no such type, so no body makes them fail.
 */
export const UNREADABLE = "unreadable";

/** One entry as this phone keeps it; `jws` is the exact text that was signed, its id the leaf hash of that. */
export type KeptEntry = EntryOf<EntryType> | (Kept & { type: typeof UNREADABLE; body: object });

export const ENTRY_TYP = "seamwalk-entry";

/** A leaf of the book whose text this phone was not shown: it counts for the root alone. */
export interface BareLeaf {
  book: string;
  id: string;
  index: number;
}

/** Whether an entry is of one of these types. */
export function isOf<T extends EntryType>(
  entry: KeptEntry,
  types: readonly T[],
): entry is KeptEntry & EntryOf<T> {
  const all: readonly string[] = types;
  return all.includes(entry.type);
}

/** Hex of the leaf hash of a JWS: the entry's id. */
export async function entryId(jws: string): Promise<string> {
  return hex(await leafHash(utf8(jws)));
}

/** The ids of both forms of an entry; one that has no other form has one id. */
export async function bothIds(jws: string): Promise<Named> {
  let other = jws;
  try {
    other = otherForm(jws);
  } catch {
    // What is no ES256 signature has one form.
  }
  return { id: await entryId(jws), otherId: await entryId(other) };
}

/** Read an entry from its JWS; throws if it is not one. Its signature is judged elsewhere. */
export async function readEntry(jws: string, index: number | null): Promise<KeptEntry> {
  return parseEntry(jws, await bothIds(jws), index);
}

/** Read an entry whose ids are known already; throws if it is not one. */
export function parseEntry(jws: string, { id, otherId }: Named, index: number | null): KeptEntry {
  const { header, payload } = split(jws);
  const { type, book, n, prev, at, body } = readJson(payload);
  const texts = [header.kid, type, book, at].every((member) => typeof member === "string");
  if (
    header.typ !== ENTRY_TYP ||
    !texts ||
    typeof n !== "number" ||
    typeof body !== "object" ||
    body === null
  ) {
    throw new Error("not an entry");
  }
  const known = isShaped(type, body) ? type : UNREADABLE;
  const read = { book, type: known, said: type, device: header.kid, n, prev: prev ?? null, at, body };
  // What is signed is read here: `isShaped` has looked at what readers of this type rely on.
  return { id, otherId, jws, ...read, index, void: null } as KeptEntry;
}

/** Read a leaf of a book, whatever it holds: what is no entry changes nothing, and the root covers it. */
export function parseLeaf(jws: string, named: Named, book: string, index: number | null): KeptEntry {
  try {
    return parseEntry(jws, named, index);
  } catch {
    const nothing = { said: "?", device: "", n: 0, prev: null, at: "", body: {} };
    return { ...named, type: UNREADABLE, ...nothing, jws, book, index, void: null };
  }
}

/** Whether two texts say the same: one entry, whatever their signatures. */
export function isSame(one: KeptEntry, other: KeptEntry): boolean {
  return signingInput(one.jws) === signingInput(other.jws);
}

/** Names of the texts and files that an entry speaks of: every phone keeps them. */
export function textsOf({ body }: KeptEntry): string[] {
  // Whatever the type: what a member of such a name holds is the name of a blob.
  const { paper, text_blobs, ...members } = body as Partial<Bodies["found"] & Bodies["procedure_walked"]>;
  const named = Object.entries(members).filter(([member]) => blobFields.includes(member));
  return [...named.map(([, name]) => name), ...Object.values(text_blobs ?? {}), paper?.by_blob].filter(
    isName,
  );
}

/** Names of all that an entry speaks of, photos too, which phones fetch only when somebody wants to see them. */
export function blobsOf(entry: KeptEntry): string[] {
  const { photo_blobs: photos } = entry.body as Partial<Bodies["found"]>;
  return [...textsOf(entry), ...(Array.isArray(photos) ? photos.filter(isName) : [])];
}

function isName(name: unknown): name is string {
  return typeof name === "string";
}
