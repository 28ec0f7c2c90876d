/** What the writer keeps: in IndexedDB on a phone, in memory in tests; both pass one contract suite. */

import type { Bytes } from "../book/bytes";
import type { BareLeaf } from "../book/entry";
import type { DeviceKey, Jwk } from "../book/jws";
import type { Membership } from "../writer/protocol";

/** sent: the server says it has it, but no checked head covers it; held, refused: so it said; seen: it has its index. */
export type Sending = "unsent" | "sent" | "held" | "refused" | "seen";

/** An entry as it is stored: its text, its place, and what the server said of it. */
export interface StoredEntry {
  book: string;
  id: string;
  /** Its id by the other form of its signature; entries from before this was kept have none. */
  otherId?: string;
  jws: string;
  index: number | null;
  /** Made on this phone. */
  mine: boolean;
  sending: Sending;
  /** Its place before a restore cut it off: what is sent again goes in that order. */
  order?: number;
  why?: string;
  remedy?: string;
}

/** It is stored with the entries, under its id; its text, if it ever comes, takes its place. */
export interface StoredLeaf extends BareLeaf {
  /** The role in which this phone last asked for its text. */
  role: string;
}

/** What is known of a book as a whole; keys and head are null before its first page. */
export interface StoredBook {
  book: string;
  frontier: { size: number; roots: Bytes[] };
  head: string | null;
  /** The heads that were newest when a restore was crossed. */
  oldHeads: string[];
  epoch: number;
  /** No head of an epoch before this one is taken any more. */
  leastEpoch: number;
  ownerJwk: Jwk | null;
  headKey: Jwk | null;
  lastSyncAt: string | null;
}

/** Bytes that entries name by their SHA-256. */
export interface StoredBlob {
  book: string;
  sha256: string;
  bytes: Bytes;
  /** Made here and not yet on the server. */
  unsent: boolean;
  /** A photo: the first to go when there is no room, once the server has it. */
  photo?: true;
}

/** All that is stored, but for blobs and procedures. */
export interface Contents {
  key: DeviceKey | null;
  memberships: Membership[];
  books: StoredBook[];
  entries: StoredEntry[];
  leaves: StoredLeaf[];
}

/** What one transaction takes out and then puts; all of it or nothing. */
export interface Puts {
  /** Entries whose text was given up for another one over the same signing input. */
  gone?: Pick<StoredEntry, "book" | "id">[];
  key?: DeviceKey;
  memberships?: Membership[];
  books?: StoredBook[];
  entries?: StoredEntry[];
  leaves?: StoredLeaf[];
  blobs?: StoredBlob[];
  procedures?: string;
}

/** What the writer needs of a database. */
export interface Storage {
  load(): Promise<Contents>;
  /** Resolves when everything is durable. */
  put(puts: Puts): Promise<void>;
  blob(book: string, sha256: string): Promise<StoredBlob | undefined>;
  unsentBlobs(book: string): Promise<StoredBlob[]>;
  /** Forget the photos that the server has; returns how many. */
  dropSentPhotos(): Promise<number>;
  procedures(): Promise<string | null>;
}

/** The rows of the entries' table, entries and bare leaves separated. */
export function apart(rows: (StoredEntry | StoredLeaf)[]): Pick<Contents, "entries" | "leaves"> {
  const found: Pick<Contents, "entries" | "leaves"> = { entries: [], leaves: [] };
  for (const row of rows) {
    if ("jws" in row) found.entries.push(row);
    else found.leaves.push(row);
  }
  return found;
}
