/** One book in a phone's memory: its record, its entries, and what follows from them. */

import { hex } from "../book/bytes";
import { type KeptEntry, readEntry } from "../book/entry";
import { rootHash } from "../book/merkle";
import type { StoredBook, StoredEntry } from "../store/storage";
import type { BookStatus } from "./protocol";

const BATCH_BYTES = 400_000;
const BLOB_FIELDS = ["checks_file", "name_blob", "note_blob"];

export class OpenBook {
  record: StoredBook;
  readonly entries = new Map<string, StoredEntry>();
  readonly read = new Map<string, KeptEntry>();
  /** Blobs that are known to be here. */
  readonly blobs = new Set<string>();
  heldAtOffice = 0;
  sync: BookStatus["sync"] = "idle";
  batchBytes = BATCH_BYTES;

  constructor(readonly book: string) {
    const frontier = { size: 0, roots: [] };
    this.record = { book, frontier, head: null, epoch: 1, headKey: null, lastSyncAt: null };
  }

  /** Take a stored entry in; what no head covered when the app was closed is sent again. */
  async remember(stored: StoredEntry): Promise<void> {
    const again = stored.sending === "held" || stored.sending === "sent";
    this.keep(again ? { ...stored, sending: "unsent" } : stored, await readEntry(stored.jws, stored.index));
  }

  keep(stored: StoredEntry, entry: KeptEntry): void {
    this.entries.set(stored.id, stored);
    this.read.set(stored.id, entry);
  }

  /** Unsent entries up to the batch's size, at least one if there is one. */
  nextBatch(): StoredEntry[] {
    const batch: StoredEntry[] = [];
    let bytes = 0;
    for (const entry of this.entries.values()) {
      if (entry.sending !== "unsent") continue;
      bytes += entry.jws.length;
      if (batch.length > 0 && bytes > this.batchBytes) break;
      batch.push(entry);
    }
    return batch;
  }

  /** The newest entry that a device made. */
  lastOf(device: string): KeptEntry | null {
    let last: KeptEntry | null = null;
    for (const entry of this.read.values()) {
      if (entry.device === device && entry.n > (last?.n ?? 0)) last = entry;
    }
    return last;
  }

  madeHere(): number {
    return [...this.entries.values()].filter((entry) => entry.mine).length;
  }

  /** Whether the book, as far as it was seen, admits a device now. */
  admits(device: string): boolean {
    let admitted = false;
    for (const entry of this.read.values()) {
      if (entry.index === null || entry.body.device !== device) continue;
      if (entry.type === "device_admitted") admitted = true;
      if (entry.type === "device_revoked") admitted = false;
    }
    return admitted;
  }

  /** Names of blobs that entries speak of and that are not known to be here. */
  missingBlobs(): Set<string> {
    const named = [...this.read.values()].flatMap((entry) => BLOB_FIELDS.map((field) => entry.body[field]));
    return new Set(named.filter((name) => typeof name === "string" && !this.blobs.has(name)));
  }

  /** Own entries that no checked head covers, one JWS a line. */
  unseen(): string {
    const own = [...this.entries.values()].filter((entry) => entry.sending !== "seen");
    return own.map((entry) => `${entry.jws}\n`).join("");
  }

  async status(device: string): Promise<BookStatus> {
    const { record } = this;
    const list = [...this.entries.values()];
    return {
      book: this.book,
      size: record.head === null ? 0 : record.frontier.size,
      root: record.head === null ? null : hex(await rootHash(record.frontier)),
      epoch: record.epoch,
      unsent: list.filter((entry) => entry.sending === "unsent" || entry.sending === "sent").length,
      held: list.filter((entry) => entry.sending === "held").length,
      heldAtOffice: this.heldAtOffice,
      refused: list
        .filter((entry) => entry.sending === "refused")
        .map(({ id, why, remedy }) => ({ id, why: why ?? "", remedy: remedy ?? "" })),
      sync: this.sync,
      lastSyncAt: record.lastSyncAt,
      admitted: this.admits(device),
    };
  }
}
