/** What the page and the writer worker say to each other. The writer alone touches keys, storage and the network. */

import type { Bytes } from "../book/bytes";
import type { EntryType, KeptEntry } from "../book/entry";

/** What this phone is in one book. */
export interface Membership {
  book: string;
  title: string;
  /** Thumbprint of the owner's key, pinned from the invite. */
  ownerFingerprint: string;
  device: string;
  person: string;
  name: string;
  role: string;
}

/** How one book stands on this phone. */
export interface BookStatus {
  book: string;
  /** Entries seen under a checked head. */
  size: number;
  root: string | null;
  epoch: number;
  /** Entries made here that no checked head covers yet. */
  unsent: number;
  /** Entries the server keeps apart until the office admits them. */
  held: number;
  /** Entries of anybody that waited at the office at the last sync. */
  heldAtOffice: number;
  refused: { id: string; why: string; remedy: string }[];
  sync: "idle" | "running" | "offline" | "sign_in" | "forked" | "lost" | "trouble";
  /** With `forked`, `lost` and `trouble`: what was found. */
  why: string;
  /** How many restores of the server this phone has crossed. */
  restores: number;
  lastSyncAt: string | null;
  /** How far this phone's clock is ahead of the server's, at least; below 0 behind it; null before any answer. */
  clockAheadMs: number | null;
  /** False once the office has revoked this device or while it is not yet admitted. */
  admitted: boolean;
  /** Leaves of the book that have no effect: second texts of an entry, and what only those let in. */
  copies: number;
  /** Whether somebody else signs with this phone's key. */
  forked: boolean;
  /** How many of this phone's own entries are neither here nor in the book. */
  missing: number;
}

/** What was found when the phone's two stores were compared at start. */
export interface Recovery {
  /** Entries put back into the database from the log, or into the log from the database. */
  restoredToDatabase: number;
  restoredToLog: number;
  /** Entries that a high-water mark says were here and that neither store has. */
  lost: number;
  /** True when the device key is gone and a new one was made. */
  newKey: boolean;
}

/** All that a page needs to begin. */
export interface Snapshot {
  memberships: Membership[];
  entries: KeptEntry[];
  statuses: BookStatus[];
  recovery: Recovery;
  /** False where the browser has no file system of its own for the log. */
  logDurable: boolean;
  build: string;
}

/** Requests; each gets exactly one reply with the same `seq`. */
export type Request =
  | { do: "start"; highWater: Record<string, number> }
  | { do: "join"; token: string; ownerFingerprint: string; name: string }
  | { do: "append"; book: string; type: EntryType; body: object; notes?: Record<string, string> }
  | { do: "keep_photo"; book: string; bytes: Bytes }
  | { do: "photo"; book: string; sha256: string }
  | { do: "sync"; book: string }
  | { do: "blob"; book: string; sha256: string }
  | { do: "procedures" }
  | { do: "unsent"; book: string }
  | { do: "witnessed"; book: string };

/** What each request is answered with. */
export interface Replies {
  start: Snapshot;
  join: Membership;
  append: KeptEntry;
  /** The photo's name, once it was read back and found whole. */
  keep_photo: string;
  /** A photo's bytes, from this phone or fetched; null when it cannot be had now. */
  photo: Bytes | null;
  sync: BookStatus;
  /** The blob's bytes as text, from this phone or fetched; null when it is not here and cannot be had now. */
  blob: string | null;
  procedures: string | null;
  /** What no checked head covers, as lines for a file that the office takes in. */
  unsent: string;
  /** The book as this phone last saw it whole, as an export file; null before its first head. */
  witnessed: string | null;
}

/** Told without being asked. */
export type Event =
  /** `gone` are ids of entries whose text was given up: another one over the same signing input is among these. */
  | { tell: "entries"; book: string; entries: KeptEntry[]; gone: string[] }
  | { tell: "status"; status: BookStatus }
  /** The office has given this phone another role. */
  | { tell: "membership"; membership: Membership }
  | { tell: "high_water"; book: string; n: number }
  | { tell: "open_elsewhere" };

/** A request with its number. */
export type ToWriter = { seq: number; request: Request };
/** What went wrong, what to do, and a key that names it: the server's, or one of ours. */
export interface WriterTrouble {
  message: string;
  remedy: string;
  key: string;
}
/** The reply to the request of that number with what came of it, what went wrong with it, or an event. */
export type FromWriter =
  | { seq: number; reply: unknown; events: Event[] }
  | { seq: number; error: WriterTrouble; events: Event[] }
  | { event: Event };

export type { KeptEntry };
