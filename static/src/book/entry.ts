/** Entries of a book: their types, and how one is read from its compact JWS. */

import { fromUtf8, hex, utf8 } from "./bytes";
import { split } from "./jws";
import { leafHash } from "./merkle";

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

/** One entry as this phone keeps it; `jws` is the exact text that was signed. */
export interface KeptEntry {
  /** Hex of the leaf hash: SHA-256(0x00 || jws). */
  id: string;
  jws: string;
  book: string;
  type: EntryType;
  device: string;
  n: number;
  /** Device clock, UTC: a claim. */
  at: string;
  body: Body;
  /** Place in the book, or null while no checked head covers it. */
  index: number | null;
}

export const ENTRY_TYP = "seamwalk-entry";

/** Hex of the leaf hash of a JWS: the entry's id. */
export async function entryId(jws: string): Promise<string> {
  return hex(await leafHash(utf8(jws)));
}

/** Read an entry from its JWS; throws when it is none. Its signature is judged elsewhere. */
export async function readEntry(jws: string, index: number | null): Promise<KeptEntry> {
  return parseEntry(jws, await entryId(jws), index);
}

/** Read an entry whose id is known already. */
export function parseEntry(jws: string, id: string, index: number | null): KeptEntry {
  const { header, payload } = split(jws);
  const { type, book, n, at, body } = JSON.parse(fromUtf8(payload));
  if (header.typ !== ENTRY_TYP || typeof type !== "string" || typeof book !== "string") {
    throw new Error("not an entry");
  }
  return {
    id,
    jws,
    book,
    type: type as EntryType,
    device: header.kid,
    n,
    at,
    body,
    index,
  };
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
export function textsOf(entry: KeptEntry): string[] {
  const single = BLOB_FIELDS.map((field) => entry.body[field]).filter((name) => typeof name === "string");
  const { paper, text_blobs } = entry.body;
  return [...single, ...Object.values<string>(text_blobs ?? {}), ...(paper ? [paper.by_blob] : [])];
}

/** Names of all that an entry speaks of, photos too, which phones fetch only when somebody wants to see them. */
export function blobsOf(entry: KeptEntry): string[] {
  return [...textsOf(entry), ...(entry.body.photo_blobs ?? [])];
}
