/** The storage in IndexedDB: strict durability, reopened once when the browser has dropped its process. */

import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import type { DeviceKey } from "../book/jws";
import type { Membership } from "../writer/protocol";
import {
  apart,
  type Contents,
  type Puts,
  type Storage,
  type StoredBlob,
  type StoredBook,
  type StoredEntry,
  type StoredLeaf,
} from "./storage";

interface Schema extends DBSchema {
  entries: { key: [string, string]; value: StoredEntry | StoredLeaf };
  books: { key: string; value: StoredBook };
  memberships: { key: string; value: Membership };
  blobs: { key: [string, string]; value: IndexedBlob; indexes: { unsent_of: string; sent_photo: number } };
  /** The device key under `key`, the frozen procedures under `procedures`. */
  single: { key: string; value: DeviceKey | string };
}

/** Only unsent blobs have the one member that an index reads, only sent photos the other. */
type IndexedBlob = StoredBlob & { unsent_of?: string | undefined; sent_photo?: number | undefined };

const indexed = (blob: StoredBlob): IndexedBlob => ({
  ...blob,
  unsent_of: blob.unsent ? blob.book : undefined,
  sent_photo: blob.photo && !blob.unsent ? 1 : undefined,
});

const STORES = ["entries", "books", "memberships", "blobs", "single"] as const;
const LOST_HANDLE = ["InvalidStateError", "UnknownError"];
/** The name of the database. */
export const DATABASE = "seamwalk";

function addIndexes(blobs: {
  createIndex(name: "unsent_of" | "sent_photo", keyPath: string): unknown;
}): void {
  blobs.createIndex("unsent_of", "unsent_of");
  blobs.createIndex("sent_photo", "sent_photo");
}

/** The storage that a browser keeps; every write is durable when it resolves. */
export class IndexedDbStorage implements Storage {
  private database: IDBPDatabase<Schema> | null = null;

  /** Open the database, so that whoever reads it first need not wait; what goes wrong they are told. */
  ready(): Promise<void> {
    return this.retried(async () => undefined).catch(() => undefined);
  }

  load(): Promise<Contents> {
    return this.retried(async (db) => {
      const tx = db.transaction(STORES, "readonly");
      const [key, memberships, books, rows] = await Promise.all([
        tx.objectStore("single").get("key"),
        tx.objectStore("memberships").getAll(),
        tx.objectStore("books").getAll(),
        tx.objectStore("entries").getAll(),
      ]);
      return { key: typeof key === "object" ? key : null, memberships, books, ...apart(rows) };
    });
  }

  put(puts: Puts): Promise<void> {
    return this.retried(async (db) => {
      const tx = db.transaction(STORES, "readwrite", { durability: "strict" });
      const writes: Promise<unknown>[] = [];
      if (puts.key) writes.push(tx.objectStore("single").put(puts.key, "key"));
      if (puts.procedures !== undefined)
        writes.push(tx.objectStore("single").put(puts.procedures, "procedures"));
      for (const { book, id } of puts.gone ?? []) writes.push(tx.objectStore("entries").delete([book, id]));
      for (const item of puts.memberships ?? []) writes.push(tx.objectStore("memberships").put(item));
      for (const item of puts.books ?? []) writes.push(tx.objectStore("books").put(item));
      for (const item of [...(puts.entries ?? []), ...(puts.leaves ?? [])])
        writes.push(tx.objectStore("entries").put(item));
      for (const item of puts.blobs ?? []) writes.push(tx.objectStore("blobs").put(indexed(item)));
      await Promise.all([...writes, tx.done]);
    });
  }

  blob(book: string, sha256: string): Promise<StoredBlob | undefined> {
    return this.retried((db) => db.get("blobs", [book, sha256]));
  }

  unsentBlobs(book: string): Promise<StoredBlob[]> {
    return this.retried(async (db) => {
      const own = await db.getAllFromIndex("blobs", "unsent_of", book);
      return own.sort((a, b) => a.bytes.length - b.bytes.length);
    });
  }

  dropSentPhotos(): Promise<number> {
    return this.retried(async (db) => {
      const tx = db.transaction("blobs", "readwrite");
      const keys = await tx.store.index("sent_photo").getAllKeys();
      await Promise.all([...keys.map((key) => tx.store.delete(key)), tx.done]);
      return keys.length;
    });
  }

  procedures(): Promise<string | null> {
    return this.retried(async (db) => {
      const procedures = await db.get("single", "procedures");
      return typeof procedures === "string" ? procedures : null;
    });
  }

  private async retried<T>(work: (db: IDBPDatabase<Schema>) => Promise<T>): Promise<T> {
    try {
      return await work(await this.open());
    } catch (error) {
      if (!(error instanceof DOMException) || !LOST_HANDLE.includes(error.name)) throw error;
      this.database = null;
      return work(await this.open());
    }
  }

  private async open(): Promise<IDBPDatabase<Schema>> {
    this.database ??= await openDB<Schema>(DATABASE, 2, {
      async upgrade(db, from, _, tx) {
        if (from === 1) {
          addIndexes(tx.objectStore("blobs"));
          const all = await tx.objectStore("blobs").getAll();
          await Promise.all(all.map((blob) => tx.objectStore("blobs").put(indexed(blob))));
          return;
        }
        db.createObjectStore("entries", { keyPath: ["book", "id"] });
        db.createObjectStore("books", { keyPath: "book" });
        db.createObjectStore("memberships", { keyPath: "book" });
        addIndexes(db.createObjectStore("blobs", { keyPath: ["book", "sha256"] }));
        db.createObjectStore("single");
      },
      blocking: () => this.close(),
      terminated: () => {
        this.database = null;
      },
    });
    return this.database;
  }

  close(): void {
    this.database?.close();
    this.database = null;
  }
}
