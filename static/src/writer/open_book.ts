/** One book in a phone's memory: its record, its entries, and running counts of them, so that a tap costs the same
 * however long the book is. */

import { type Bytes, base64url, hex } from "../book/bytes";
import { chains } from "../book/chain";
import { type BareLeaf, type KeptEntry, parseLeaf, textsOf } from "../book/entry";
import type { Jwk } from "../book/jws";
import { rootHash } from "../book/merkle";
import { must } from "../book/must";
import { Voids } from "../book/trust";
import type { Sending, StoredBook, StoredEntry } from "../store/storage";
import { isText } from "../sync/pull";
import { BlobNames } from "./blob_names";
import { Leaves } from "./leaves";
import { Numbers } from "./numbers";
import type { BookStatus } from "./protocol";

const BATCH_BYTES = 400_000;

/** Pages that came in and that no head has covered yet; they wait in memory until one does. */
export interface Ahead {
  record: StoredBook;
  entries: KeptEntry[];
  leaves: BareLeaf[];
}

/** A book that is in memory; what is stored of it is written by whoever changes it here. */
export class OpenBook {
  record: StoredBook;
  ahead: Ahead | null = null;
  readonly blobs = new BlobNames();
  /** What is the same entry, and the newest of each device. */
  readonly numbers = new Numbers();
  /** Leaves whose texts this phone was not shown. */
  readonly leaves = new Leaves();
  heldAtOffice = 0;
  sync: BookStatus["sync"] = "idle";
  /** Why the book has stopped: nothing is sent until a sync finds it whole again. */
  stopped: "forked" | "lost" | null = null;
  why = "";
  batchBytes = BATCH_BYTES;

  private readonly entries = new Map<string, StoredEntry>();
  private readonly read = new Map<string, KeptEntry>();
  /** Ids by what the server has said of them, but for those that are seen. */
  private readonly waiting: Record<Exclude<Sending, "seen">, Set<string>> = {
    unsent: new Set(),
    sent: new Set(),
    held: new Set(),
    refused: new Set(),
  };
  private voids = new Voids();
  private judged = 0;
  private copies = 0;
  private chain = { forked: false, missing: 0 };
  private mine = 0;

  constructor(readonly book: string) {
    this.record = {
      book,
      frontier: { size: 0, roots: [] },
      head: null,
      oldHeads: [],
      epoch: 1,
      leastEpoch: 1,
      ownerJwk: null,
      headKey: null,
      lastSyncAt: null,
    };
  }

  /** Take a stored entry in; what no head covered when the app was closed is sent again. */
  remember(stored: StoredEntry, entry: KeptEntry): void {
    const again = stored.sending === "held" || stored.sending === "sent";
    this.keep(again ? { ...stored, sending: "unsent" } : stored, entry);
  }

  /** Take an entry in, or what has changed about it. */
  keep(stored: StoredEntry, entry: KeptEntry): void {
    const before = this.entries.get(stored.id);
    if (before && before.sending !== "seen") this.waiting[before.sending].delete(stored.id);
    if (stored.sending !== "seen") this.waiting[stored.sending].add(stored.id);
    this.mine += Number(stored.mine) - Number(before?.mine ?? false);
    this.entries.set(stored.id, stored);
    this.read.set(stored.id, entry);
    this.numbers.add(entry);
    this.blobs.name(textsOf(entry));
    if (entry.index !== null && entry.index >= this.judged) this.judge(entry);
  }

  /** Say of the next entry of the book whether it has an effect. */
  private judge(entry: KeptEntry): void {
    entry.void = this.voids.judge(entry);
    this.copies += Number(entry.void !== null);
    this.judged = must(entry.index) + 1;
  }

  /** Give an entry's text up: another one over the same signing input stands for it. */
  forget(id: string): void {
    const [stored, entry] = [this.entries.get(id), this.read.get(id)];
    if (stored === undefined || entry === undefined) return;
    if (stored.sending !== "seen") this.waiting[stored.sending].delete(id);
    this.mine -= Number(stored.mine);
    this.entries.delete(id);
    this.read.delete(id);
    this.numbers.remove(entry);
  }

  /** Another text over the same signing input stands for an entry from now on. */
  replace(old: string, stored: StoredEntry, entry: KeptEntry): void {
    this.forget(old);
    this.keep(stored, entry);
  }

  /** An entry that was seen or made here. */
  entry(id: string): KeptEntry {
    return must(this.read.get(id));
  }

  /** Let texts stand in the place of bare leaves; returns every entry whose effect is another one now. */
  keepTexts(texts: { stored: StoredEntry; entry: KeptEntry }[]): KeptEntry[] {
    for (const { stored, entry } of texts) {
      this.leaves.drop(must(entry.index));
      this.keep(stored, entry);
    }
    const before = new Map([...this.read.values()].map((entry) => [entry.id, entry.void]));
    this.judgeAnew();
    const fresh = new Set(texts.map(({ entry }) => entry.id));
    return this.inOrder().filter((entry) => fresh.has(entry.id) || entry.void !== before.get(entry.id));
  }

  private judgeAnew(): void {
    [this.voids, this.judged, this.copies] = [new Voids(), 0, 0];
    for (const entry of this.inOrder()) this.judge(entry);
  }

  /** A device's role, as far as the book was seen; `more` has not been kept yet. */
  roleOf(device: string, more: KeptEntry[] = []): string | null {
    const trust = this.voids.trust.copy();
    for (const entry of more)
      if (!this.numbers.hasPlace(entry) && !trust.isOutdated(entry)) trust.apply(entry);
    return trust.roleOf(device);
  }

  /** Put entries back among those that have no place in the book, to be sent again in their old order. */
  cutOff(cut: { stored: StoredEntry; entry: KeptEntry }[]): void {
    for (const { stored, entry } of cut) this.keep(stored, entry);
    this.leaves.cut(this.record.frontier.size);
    this.judgeAnew();
  }

  /** What a server has said of an entry. */
  mark(stored: StoredEntry): void {
    this.keep(stored, this.entry(stored.id));
  }

  stored(id: string): StoredEntry | undefined {
    return this.entries.get(id);
  }

  all(): Iterable<KeptEntry> {
    return this.read.values();
  }

  /** Entries that a checked head covers, in index order. */
  inOrder(): KeptEntry[] {
    const covered = [...this.read.values()].filter((entry) => entry.index !== null);
    return covered.sort(byIndex);
  }

  /** All leaves that a checked head covers, in their order. */
  allLeaves(): (KeptEntry | BareLeaf)[] {
    const all: (KeptEntry | BareLeaf)[] = [...this.inOrder(), ...this.leaves.all()];
    return all.sort(byIndex);
  }

  /** Unsent entries up to the batch's size, at least one if there is one: first what a restore has cut off. */
  nextBatch(): StoredEntry[] {
    const batch: StoredEntry[] = [];
    let bytes = 0;
    for (const entry of this.unseenOf("unsent")) {
      bytes += entry.jws.length;
      if (batch.length > 0 && bytes > this.batchBytes) break;
      batch.push(entry);
    }
    return batch;
  }

  /** Entries of which the server has said one of these, in the order in which they are sent. */
  unseenOf(...kinds: Exclude<Sending, "seen">[]): StoredEntry[] {
    const found = kinds.flatMap((kind) => [...this.waiting[kind]].map((id) => must(this.entries.get(id))));
    const place = (entry: StoredEntry) => entry.order ?? Number.MAX_SAFE_INTEGER;
    const count = (entry: StoredEntry) => this.read.get(entry.id)?.n ?? 0;
    return found.sort((a, b) => place(a) - place(b) || count(a) - count(b));
  }

  madeHere(): number {
    return this.mine;
  }

  /** Whether the book, as far as it was seen, admits a device now. */
  admits(device: string): boolean {
    return this.voids.trust.admits(device);
  }

  /** The key of a device that the book admits or has admitted. */
  keyOf(device: string): Jwk | null {
    return this.voids.trust.keyOf(device);
  }

  /** See whether a device's own entries follow each other; nothing that is made here changes that. */
  lookAtChain(device: string): void {
    const own = [...this.read.values()].filter((entry) => entry.device === device && entry.void !== "twin");
    const { flags, gaps } = chains(own);
    const missing = (gaps.get(device) ?? []).reduce((sum, [first, last]) => sum + last - first + 1, 0);
    this.chain = { forked: [...flags.values()].some((found) => found.includes("fork")), missing };
  }

  /** The head that the server is shown; a book that stopped behind a crossing shows the one from before it. */
  shownHead(): string | null {
    return this.record.head ?? (this.stopped ? (this.record.oldHeads.at(-1) ?? null) : null);
  }

  /** What no checked head covers, and the texts that go with it, as lines that the office takes in. */
  unseen(blobs: { sha256: string; bytes: Bytes }[]): string {
    const entries = this.unseenOf("unsent", "sent", "held", "refused").map((entry) => ({
      entry: entry.jws,
    }));
    const texts = blobs.map(({ sha256, bytes }) => ({ blob: sha256, data: base64url(bytes) }));
    return [...entries, ...texts].map((line) => `${JSON.stringify(line)}\n`).join("");
  }

  /** The book as this phone last saw it whole, in the form of an export; null before the first head. */
  witnessed(): string | null {
    const { head, book, epoch, frontier } = this.record;
    if (head === null) return null;
    const entries = this.allLeaves().map((leaf) => (isText(leaf) ? { entry: leaf.jws } : { leaf: leaf.id }));
    const lines = [{ blobs: 0, book, epoch, seamwalk_export: 1, size: frontier.size }, ...entries, { head }];
    return lines.map((line) => `${JSON.stringify(line)}\n`).join("");
  }

  async status(device: string): Promise<Omit<BookStatus, "clockAheadMs">> {
    const { record, waiting } = this;
    return {
      book: this.book,
      size: record.head === null ? 0 : record.frontier.size,
      root: record.head === null ? null : hex(await rootHash(record.frontier)),
      epoch: record.epoch,
      unsent: waiting.unsent.size + waiting.sent.size,
      held: waiting.held.size,
      heldAtOffice: this.heldAtOffice,
      refused: this.unseenOf("refused").map(({ id, why, remedy }) => ({
        id,
        why: why ?? "",
        remedy: remedy ?? "",
      })),
      sync: this.sync,
      why: this.why,
      restores: record.oldHeads.length,
      lastSyncAt: record.lastSyncAt,
      admitted: this.admits(device),
      copies: this.copies,
      ...this.chain,
    };
  }
}

/** Stored entries as they were made: those with a place in the book in its order, then the others. */
export function inOrder(stored: StoredEntry[]): { stored: StoredEntry; entry: KeptEntry }[] {
  const place = (entry: KeptEntry) => entry.index ?? Number.MAX_SAFE_INTEGER;
  return stored
    .map((item) => {
      const { id, otherId = id } = item;
      return { stored: item, entry: parseLeaf(item.jws, { id, otherId }, item.book, item.index) };
    })
    .sort((a, b) => place(a.entry) - place(b.entry) || a.entry.n - b.entry.n);
}

/** In the book's order, of leaves that have a place in it. */
function byIndex(a: { index: number | null }, b: { index: number | null }): number {
  return must(a.index) - must(b.index);
}
