/** A phone's books: made, kept, sent and pulled, over a storage, a log and the server's API. */

import { base64url, fromUtf8, hex, sha256, utf8 } from "../book/bytes";
import { type Body, ENTRY_TYP, type EntryType, type KeptEntry, readEntry } from "../book/entry";
import { type DeviceKey, makeDeviceKey, sign } from "../book/jws";
import type { Log } from "../store/log";
import { recover } from "../store/recovery";
import type { Storage, StoredBlob, StoredEntry } from "../store/storage";
import { type Api, NoAnswer, Refusal, type SyncAnswer, type Verdict } from "../sync/api";
import { Forked, pull } from "../sync/pull";
import { OpenBook } from "./open_book";
import type { BookStatus, Event, Membership, Snapshot } from "./protocol";

export interface Surroundings {
  storage: Storage;
  log: Log;
  api: Api;
  tell: (event: Event) => void;
  now: () => Date;
}

export class Phone {
  private key!: DeviceKey;
  private memberships = new Map<string, Membership>();
  private books = new Map<string, OpenBook>();
  private hasProcedures = false;

  constructor(private readonly around: Surroundings) {}

  /** Load everything, mend what one store has lost, make a new key if the old one is gone. */
  async start(
    highWater: Record<string, number>,
  ): Promise<Pick<Snapshot, "memberships" | "entries" | "statuses" | "recovery">> {
    const { contents, recovery } = await recover(this.around.storage, this.around.log, highWater);
    this.key = contents.key ?? (await this.makeKey());
    for (const membership of contents.memberships) {
      this.memberships.set(membership.book, membership);
      this.books.set(membership.book, new OpenBook(membership.book));
    }
    for (const record of contents.books) this.open(record.book).record = record;
    for (const entry of contents.entries) await this.open(entry.book).remember(entry);
    return {
      memberships: [...this.memberships.values()],
      ...(await this.all()),
      recovery,
    };
  }

  private async all(): Promise<Pick<Snapshot, "entries" | "statuses">> {
    const books = [...this.books.keys()];
    return {
      entries: books.flatMap((book) => [...this.open(book).read.values()]),
      statuses: await Promise.all(books.map((book) => this.status(book))),
    };
  }

  /** Become a member of a book by an invite. The key is proven to survive storing before it is used. */
  async join(token: string, ownerFingerprint: string, name: string): Promise<Membership> {
    const joined = await this.around.api.join(token, name, this.key);
    if (joined.owner_fingerprint !== ownerFingerprint) throw new Forked("the server shows another owner");
    const { book, title, person, role } = joined;
    const membership = { book, title, ownerFingerprint, device: this.key.thumbprint, person, name, role };
    this.around.log.append({ kind: "member", membership });
    await this.around.storage.put({ memberships: [membership] });
    this.memberships.set(book, membership);
    if (!this.books.has(book)) this.books.set(book, new OpenBook(book));
    return membership;
  }

  /** Sign an entry and keep it in both stores; it is made only when both have it. */
  async append(
    book: string,
    type: EntryType,
    body: Body,
    notes: Record<string, string> = {},
  ): Promise<KeptEntry> {
    const blobs = await Promise.all(Object.values(notes).map((text) => saltedBlob(book, text)));
    const named = Object.fromEntries(Object.keys(notes).map((field, i) => [field, blobs[i]?.sha256]));
    const open = this.open(book);
    const last = open.lastOf(this.key.thumbprint);
    const payload = {
      type,
      v: 1,
      book,
      n: (last?.n ?? 0) + 1,
      prev: last?.id ?? null,
      at: this.around.now().toISOString(),
      body: { ...body, ...named },
    };
    const jws = await sign(this.key, ENTRY_TYP, payload, !open.admits(this.key.thumbprint));
    const entry = await readEntry(jws, null);
    const stored: StoredEntry = { book, id: entry.id, jws, index: null, mine: true, sending: "unsent" };
    this.around.log.append({ kind: "entry", book, jws });
    await this.around.storage.put({ entries: [stored], blobs });
    open.keep(stored, entry);
    this.around.tell({ tell: "high_water", book, n: open.madeHere() });
    this.around.tell({ tell: "entries", book, entries: [entry] });
    await this.tellStatus(book);
    return entry;
  }

  /** Send what is unsent and pull what is new, until both are done or the network is gone. */
  async sync(book: string): Promise<BookStatus> {
    const open = this.open(book);
    if (open.sync === "forked") return this.status(book);
    open.sync = "running";
    await this.tellStatus(book);
    try {
      while (await this.round(book)) {
        // Each round sends one batch and takes one page.
      }
      await this.exchangeBlobs(book);
    } catch (error) {
      open.sync = syncStateOf(error);
      if (open.sync === "idle") throw error;
    }
    return this.tellStatus(book);
  }

  private async round(book: string): Promise<boolean> {
    const open = this.open(book);
    const batch = open.nextBatch();
    const answer = await this.exchange(book, batch);
    if (answer === null) return true;
    await this.applyVerdicts(book, batch, answer.verdicts);
    if (answer.reading === "sign_in") {
      open.sync = "sign_in";
      return open.nextBatch().length > 0;
    }
    await this.takePage(book, answer);
    open.sync = "idle";
    return answer.more || open.nextBatch().length > 0;
  }

  /** One call; signs in once when the cookie is gone. Null when the batch was too large and is halved. */
  private async exchange(book: string, batch: StoredEntry[]): Promise<SyncAnswer | null> {
    const open = this.open(book);
    const { size } = open.record.frontier;
    const texts = batch.map((entry) => entry.jws);
    try {
      const answer = await this.around.api.sync(book, size, texts);
      if (answer.reading === "ok" || !(await this.signIn())) return answer;
      return { ...(await this.around.api.sync(book, size, [])), verdicts: answer.verdicts };
    } catch (error) {
      if (!(error instanceof Refusal) || error.code !== 413 || batch.length < 2) throw error;
      open.batchBytes /= 2;
      return null;
    }
  }

  private async signIn(): Promise<boolean> {
    try {
      await this.around.api.signIn(this.key);
      return true;
    } catch (error) {
      if (error instanceof Refusal) return false;
      throw error;
    }
  }

  /** One verdict for each entry; what the server did not name stays as it is. */
  private async applyVerdicts(book: string, batch: StoredEntry[], verdicts: Verdict[]): Promise<void> {
    const byHash = new Map(verdicts.map((verdict) => [verdict.sha256, verdict]));
    const changed: StoredEntry[] = [];
    for (const entry of batch) {
      const verdict = byHash.get(hex(await sha256(utf8(entry.jws))));
      if (verdict === undefined) throw new NoAnswer();
      const { why, remedy } = verdict;
      if (verdict.verdict === "held" || verdict.verdict === "refused") {
        changed.push({ ...entry, sending: verdict.verdict, why: why ?? "", remedy: remedy ?? "" });
      } else {
        changed.push({ ...entry, sending: "sent" });
      }
    }
    await this.around.storage.put({ entries: changed });
    for (const entry of changed) this.open(book).entries.set(entry.id, entry);
  }

  private async takePage(book: string, answer: SyncAnswer): Promise<void> {
    const open = this.open(book);
    const texts = answer.entries;
    if (texts === null || answer.head === null) throw new NoAnswer();
    const fingerprint = this.member(book).ownerFingerprint;
    const pulled = await pull(open.record, fingerprint, texts, answer.more ? null : answer.head);
    const record = { ...pulled.book, lastSyncAt: this.around.now().toISOString() };
    const entries = pulled.entries.map((entry): StoredEntry => {
      const mine = open.entries.get(entry.id)?.mine ?? false;
      return { book, id: entry.id, jws: entry.jws, index: entry.index, mine, sending: "seen" };
    });
    await this.around.storage.put({ books: [record], entries });
    open.record = record;
    open.heldAtOffice = answer.held;
    for (const [i, entry] of pulled.entries.entries()) open.keep(entries[i] as StoredEntry, entry);
    if (entries.length > 0) this.around.tell({ tell: "entries", book, entries: pulled.entries });
  }

  /** Bring own notes up and named files down; a blob that the server lacks waits for the next time. */
  private async exchangeBlobs(book: string): Promise<void> {
    const open = this.open(book);
    if (open.sync !== "idle") return;
    for (const blob of await this.around.storage.unsentBlobs(book)) {
      await this.around.api.putBlob(book, blob.sha256, blob.bytes);
      await this.around.storage.put({ blobs: [{ ...blob, unsent: false }] });
    }
    for (const name of open.missingBlobs()) {
      if ((await this.blob(book, name)) !== null) open.blobs.add(name);
    }
    if (this.hasProcedures) return;
    await this.around.storage.put({ procedures: await this.around.api.procedures() });
    this.hasProcedures = true;
  }

  /** A blob's text, from here or from the server; null when it cannot be had now. */
  async blob(book: string, name: string): Promise<string | null> {
    const here = await this.around.storage.blob(book, name);
    if (here) return fromUtf8(here.bytes);
    try {
      const bytes = await this.around.api.getBlob(book, name);
      if (hex(await sha256(bytes)) !== name) return null;
      await this.around.storage.put({ blobs: [{ book, sha256: name, bytes, unsent: false }] });
      return fromUtf8(bytes);
    } catch (error) {
      if (error instanceof NoAnswer || error instanceof Refusal) return null;
      throw error;
    }
  }

  procedures(): Promise<string | null> {
    return this.around.storage.procedures();
  }

  /** Own entries that no checked head covers, one JWS a line. */
  unsent(book: string): string {
    return this.open(book).unseen();
  }

  private status(book: string): Promise<BookStatus> {
    return this.open(book).status(this.key.thumbprint);
  }

  private async tellStatus(book: string): Promise<BookStatus> {
    const status = await this.status(book);
    this.around.tell({ tell: "status", status });
    return status;
  }

  private async makeKey(): Promise<DeviceKey> {
    await this.around.storage.put({ key: await makeDeviceKey() });
    const { key } = await this.around.storage.load();
    if (key === null) throw new Error("this browser does not keep keys: leave private mode, or use another");
    await sign(key, "seamwalk-proof", {});
    return key;
  }

  private open(book: string): OpenBook {
    const open = this.books.get(book);
    if (open === undefined) throw new Error(`this phone is not in book ${book}`);
    return open;
  }

  private member(book: string): Membership {
    return this.memberships.get(book) as Membership;
  }
}

function syncStateOf(error: unknown): BookStatus["sync"] {
  if (error instanceof NoAnswer) return "offline";
  if (error instanceof Forked) return "forked";
  if (error instanceof Refusal) return error.key === "shorter_than_yours" ? "shorter" : "offline";
  return "idle";
}

async function saltedBlob(book: string, text: string): Promise<StoredBlob> {
  const salt = base64url(crypto.getRandomValues(new Uint8Array(16)));
  const bytes = utf8(JSON.stringify({ salt, text }));
  return { book, sha256: hex(await sha256(bytes)), bytes, unsent: true };
}
