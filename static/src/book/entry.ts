/** Entries of a book: their types, and how one is read from its compact JWS. */

import { hex, utf8 } from "./bytes";
import { otherForm, readJson, signingInput, split } from "./jws";
import { leafHash } from "./merkle";
import type { Named } from "./names";
import { isShaped } from "./shapes";

export const ENTRY_TYPES = [
  "book_opened",
  "rules_begun",
  "device_admitted",
  "device_revoked",
  "entry_admitted",
  "plan_set",
  "stock_listed",
  "tile_bound",
  "found",
  "withdrawn",
  "swapped",
  "procedure_walked",
  "work_shared",
  "contacts_listed",
  "procedures_listed",
  "signed_off",
  "blob_erased",
  "restored",
  "head_key_changed",
  "item_registered",
  "item_relabelled",
  "item_described",
  "label_revoked",
  "case_packed",
  "case_sent",
  "case_returned",
  "type_described",
  "items_edited",
  "claim_opened",
  "prep_listed",
  "item_seen",
  "case_closed",
  "parts_counted",
  "item_looked_at",
  "hire_handed_over",
  "countersigned",
  "item_benched",
] as const;

/** The version in which a type is written now, where it is not the first. */
export const VERSIONS: Partial<Record<EntryType, number>> = { found: 2, swapped: 2 };

export type EntryType = (typeof ENTRY_TYPES)[number];
export type Result = "ok" | "fault" | "not_reached";
export type Weight = "stop" | "show" | "cosmetic";
export type Statement = "built" | "suspension" | "supply" | "picture" | "handover";
// biome-ignore lint/suspicious/noExplicitAny: bodies differ by type; readers narrow them by `type`.
export type Body = Record<string, any>;

/**
 * Why a leaf of the book has no effect: it is a second text over a signing input that stands before it, or an entry
 * that only such a text let in, or it came in after the office had said something newer of the same device.
 */
export type Void = "twin" | "let_in_by_twin" | "outdated";

/** One entry as this phone keeps it; `jws` is the exact text that was signed, its id the leaf hash of that. */
export interface KeptEntry extends Named {
  jws: string;
  book: string;
  type: EntryType;
  /** The type as the text has it, also where it is nothing that this phone can read. */
  said: string;
  device: string;
  n: number;
  prev: string | null;
  /** Device clock, UTC: a claim. */
  at: string;
  body: Body;
  /** Place in the book, or null while no checked head covers it. */
  index: number | null;
  void: Void | null;
}

export const ENTRY_TYP = "seamwalk-entry";

/** A leaf of the book whose text this phone was not shown: it counts for the root alone. */
export interface BareLeaf {
  book: string;
  id: string;
  index: number;
}

/**
 * What stands for the type of an entry that this phone cannot read: a leaf that the head covers all the same. Readers
 * of bodies know no such type, so no body makes them fail.
 */
export const UNREADABLE = "unreadable" as EntryType;

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

/** Read an entry from its JWS; throws when it is none. Its signature is judged elsewhere. */
export async function readEntry(jws: string, index: number | null): Promise<KeptEntry> {
  return parseEntry(jws, await bothIds(jws), index);
}

/** Read an entry whose ids are known already; throws when it is none. */
export function parseEntry(jws: string, { id, otherId }: Named, index: number | null): KeptEntry {
  const { header, payload } = split(jws);
  const { type, book, n, prev, at, body } = readJson(payload) as Body;
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
  const told = { book, type: known, said: type, device: header.kid, n, prev: prev ?? null, at, body };
  return { id, otherId, jws, ...told, index, void: null };
}

/** Read a leaf of a book, whatever it holds: what is no entry changes nothing, and the root covers it. */
export function parseLeaf(jws: string, named: Named, book: string, index: number | null): KeptEntry {
  try {
    return parseEntry(jws, named, index);
  } catch {
    const nothing = { type: UNREADABLE, said: "?", device: "", n: 0, prev: null, at: "", body: {} };
    return { ...named, ...nothing, jws, book, index, void: null };
  }
}

/** Whether two texts say the same: one entry, whatever their signatures. */
export function isSame(one: KeptEntry, other: KeptEntry): boolean {
  return signingInput(one.jws) === signingInput(other.jws);
}

const BLOB_FIELDS = [
  "checks_file",
  "stock_file",
  "plan_file",
  "edition_file",
  "contacts_blob",
  "prep_file",
  "party_blob",
  "against_blob",
  "name_blob",
  "note_blob",
];

/** Names of the texts and files that an entry speaks of: every phone keeps them. */
export function textsOf({ body }: KeptEntry): string[] {
  const named = [...BLOB_FIELDS.map((field) => body[field]), ...Object.values(body.text_blobs ?? {})];
  return [...named, body.paper?.by_blob].filter(isName);
}

/** Names of all that an entry speaks of, photos too, which phones fetch only when somebody wants to see them. */
export function blobsOf(entry: KeptEntry): string[] {
  const photos = entry.body.photo_blobs;
  return [...textsOf(entry), ...(Array.isArray(photos) ? photos.filter(isName) : [])];
}

function isName(name: unknown): name is string {
  return typeof name === "string";
}
