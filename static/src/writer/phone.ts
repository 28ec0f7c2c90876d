/** A phone's books: made, kept, sent and pulled, over a storage, a log and the server's API. */

import { type Bytes, base64url, hex, sha256, utf8 } from "../book/bytes";
import { ENTRY_TYP, ENTRY_TYPES, type EntryType, type KeptEntry, readEntry } from "../book/entry";
import { type DeviceKey, makeDeviceKey, sign } from "../book/jws";
import { must } from "../book/must";
import { recover, recoverPhotos, textRecord } from "../store/recovery";
import type { StoredBlob, StoredEntry } from "../store/storage";
import { NoAnswer, Refusal } from "../sync/api";
import { Forked } from "../sync/pull";
import { BookSync } from "./book_sync";
import { inOrder, OpenBook } from "./open_book";
import type { BookStatus, Membership, Snapshot } from "./protocol";
import type { Surroundings } from "./surroundings";
import { takeTrouble, troubleOf } from "./trouble";

/** Room that photos leave for entries. */
const RESERVED_BYTES = 20_000_000;

/** All that the writer can do; `start` comes first, and entries are made one after another by whoever calls. */
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
    await recoverPhotos(this.around.storage, this.around.photos);
    this.key = contents.key ?? (await this.makeKey());
    for (const membership of contents.memberships) {
      this.memberships.set(membership.book, membership);
      this.books.set(membership.book, new OpenBook(membership.book));
    }
    for (const record of contents.books) this.open(record.book).record = record;
    for (const leaf of contents.leaves) this.open(leaf.book).leaves.keep(leaf);
    for (const { stored, entry } of inOrder(contents.entries)) this.open(stored.book).remember(stored, entry);
    for (const open of this.books.values()) open.lookAtChain(this.key.thumbprint);
    return {
      memberships: [...this.memberships.values()],
      ...(await this.all()),
      recovery,
    };
  }

  private async all(): Promise<Pick<Snapshot, "entries" | "statuses">> {
    const books = [...this.books.keys()];
    return {
      entries: books.flatMap((book) => [...this.open(book).all()]),
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
    body: object,
    notes: Record<string, string> = {},
  ): Promise<KeptEntry> {
    const blobs = await Promise.all(Object.values(notes).map((text) => saltedBlob(book, text)));
    // It is filled in by the names of its fields: what the notes name is missing until then.
    const whole = structuredClone(body) as Record<string, unknown>;
    for (const [i, field] of Object.keys(notes).entries()) putAt(whole, field, blobs[i]?.sha256);
    const open = this.open(book);
    const last = open.numbers.newestOf(this.key.thumbprint);
    const payload = {
      type,
      v: ENTRY_TYPES[type],
      book,
      n: (last?.n ?? 0) + 1,
      prev: last?.id ?? null,
      at: this.around.now().toISOString(),
      body: whole,
    };
    const jws = await sign(this.key, ENTRY_TYP, payload, !open.admits(this.key.thumbprint));
    const entry = await readEntry(jws, null);
    const { id, otherId } = entry;
    const stored: StoredEntry = { book, id, otherId, jws, index: null, mine: true, sending: "unsent" };
    for (const blob of blobs) this.around.log.append(textRecord(blob));
    this.around.log.append({ kind: "entry", book, jws });
    await this.around.storage.put({ entries: [stored], blobs });
    open.keep(stored, entry);
    this.around.tell({ tell: "high_water", book, n: open.madeHere() });
    this.around.tell({ tell: "entries", book, entries: [entry], gone: [] });
    await this.tellStatus(book);
    return entry;
  }

  /**
   * Send what is unsent and pull what is new, until both are done or the network is gone. A book that has stopped is
   * asked for again, and nothing is sent, until it is whole.
   */
  async sync(book: string): Promise<BookStatus> {
    const open = this.open(book);
    open.sync = "running";
    await this.tellStatus(book);
    try {
      await new BookSync(this.around, this.key, this.member(book).ownerFingerprint, open).run();
      await this.takeRole(open);
      await this.exchangeBlobs(open);
    } catch (error) {
      const found = troubleOf(error);
      if (found === null) throw error;
      takeTrouble(open, found);
    }
    return this.tellStatus(book);
  }

  /** Another role than the invite gave: this phone does and reads what that one may. */
  private async takeRole(open: OpenBook): Promise<void> {
    const { book } = open;
    const role = open.roleOf(this.key.thumbprint);
    const before = this.member(book);
    if (role === null || role === before.role) return;
    const membership = { ...before, role };
    this.around.log.append({ kind: "member", membership });
    await this.around.storage.put({ memberships: [membership] });
    this.memberships.set(book, membership);
    open.blobs.allowAll();
    this.around.tell({ tell: "membership", membership });
  }

  /** Bring own notes up and named files down; a blob that the server lacks waits for the next time. */
  private async exchangeBlobs(open: OpenBook): Promise<void> {
    const { book } = open;
    if (open.sync !== "idle") return;
    for (const blob of await this.around.storage.unsentBlobs(book)) {
      await this.around.api.putBlob(book, blob.sha256, blob.bytes);
      await this.around.storage.put({ blobs: [{ ...blob, unsent: false }] });
      if (blob.photo) await this.around.photos.drop(blob);
    }
    for (const name of open.blobs.missing()) {
      if ((await this.blob(book, name)) !== null) open.blobs.got(name);
    }
    if (this.hasProcedures) return;
    await this.around.storage.put({ procedures: await this.around.api.procedures() });
    this.hasProcedures = true;
  }

  /**
   * Keep a photo, to be sent after all entries. Photos that the server has make room for it; throws when there is
   * still none, for entries come first, and when it does not come back as it was given.
   */
  async keepPhoto(book: string, bytes: Bytes): Promise<string> {
    const name = hex(await sha256(bytes));
    const needed = bytes.length + RESERVED_BYTES;
    if ((await this.around.room()) < needed) {
      await this.around.storage.dropSentPhotos();
      if ((await this.around.room()) < needed) {
        throw new Error("error.photo_full");
      }
    }
    await this.around.photos.keep({ book, sha256: name }, bytes);
    await this.around.storage.put({ blobs: [{ book, sha256: name, bytes, unsent: true, photo: true }] });
    const kept = await this.around.storage.blob(book, name);
    if (!kept || hex(await sha256(kept.bytes)) !== name) {
      throw new Error("error.photo_lost");
    }
    return name;
  }

  /** A blob's text, from here or from the server; null when it cannot be had now. */
  async blob(book: string, name: string): Promise<string | null> {
    const bytes = await this.bytes(book, name);
    return bytes && new TextDecoder().decode(bytes);
  }

  async bytes(book: string, name: string): Promise<Bytes | null> {
    const here = await this.around.storage.blob(book, name);
    if (here) return here.bytes;
    const open = this.open(book);
    if (open.blobs.isDenied(name)) return null;
    try {
      const bytes = await this.around.api.getBlob(book, name);
      if (hex(await sha256(bytes)) !== name) return null;
      const kind = isPhoto(bytes) ? { photo: true as const } : {};
      await this.around.storage.put({ blobs: [{ book, sha256: name, bytes, unsent: false, ...kind }] });
      return bytes;
    } catch (error) {
      if (error instanceof Refusal && error.code === 403) open.blobs.deny(name);
      if (error instanceof NoAnswer || error instanceof Refusal) return null;
      throw error;
    }
  }

  procedures(): Promise<string | null> {
    return this.around.storage.procedures();
  }

  /** What no checked head covers, and the texts that go with it, as lines of a file. */
  async unsent(book: string): Promise<string> {
    return this.open(book).unseen(await this.around.storage.unsentBlobs(book));
  }

  /** The book as this phone last saw it whole, as an export file; null before its first head. */
  witnessed(book: string): string | null {
    return this.open(book).witnessed();
  }

  private async status(book: string): Promise<BookStatus> {
    const { clockAheadMs } = this.around.api;
    return { ...(await this.open(book).status(this.key.thumbprint)), clockAheadMs };
  }

  private async tellStatus(book: string): Promise<BookStatus> {
    const status = await this.status(book);
    this.around.tell({ tell: "status", status });
    return status;
  }

  private async makeKey(): Promise<DeviceKey> {
    await this.around.storage.put({ key: await makeDeviceKey() });
    const { key } = await this.around.storage.load();
    if (key === null) throw new Error("the key that was stored does not come back");
    await sign(key, "seamwalk-proof", {});
    return key;
  }

  private open(book: string): OpenBook {
    const open = this.books.get(book);
    if (open === undefined) throw new Error(`this phone is not in book ${book}`);
    return open;
  }

  private member(book: string): Membership {
    return must(this.memberships.get(book));
  }
}

/** Set a field of a body; `paper.by_blob` is a field within a field. */
function putAt(body: Record<string, unknown>, path: string, value: unknown): void {
  const [field = "", inner] = path.split(".");
  if (inner === undefined) body[field] = value;
  else body[field] = { ...Object(body[field]), [inner]: value };
}

/** By how a JPEG begins. */
function isPhoto([first, second, third]: Bytes): boolean {
  return first === 0xff && second === 0xd8 && third === 0xff;
}

async function saltedBlob(book: string, text: string): Promise<StoredBlob> {
  const salt = base64url(crypto.getRandomValues(new Uint8Array(16)));
  const bytes = utf8(JSON.stringify({ salt, text }));
  return { book, sha256: hex(await sha256(bytes)), bytes, unsent: true };
}
