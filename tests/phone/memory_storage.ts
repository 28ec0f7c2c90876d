/** A phone's storage in memory, for tests: it passes the contract suite that the browser's passes. */

import type { DeviceKey } from "../../static/src/book/jws";
import {
  apart,
  type Contents,
  type Puts,
  type Storage,
  type StoredBlob,
  type StoredBook,
  type StoredEntry,
  type StoredLeaf,
} from "../../static/src/store/storage";
import type { Membership } from "../../static/src/writer/protocol";

/** A storage that is gone with its page. */
export class MemoryStorage implements Storage {
  private readonly entries = new Map<string, StoredEntry | StoredLeaf>();
  private readonly books = new Map<string, StoredBook>();
  private readonly memberships = new Map<string, Membership>();
  private readonly blobs = new Map<string, StoredBlob>();
  private key: DeviceKey | null = null;
  private procedureText: string | null = null;

  async load(): Promise<Contents> {
    return {
      key: this.key,
      memberships: [...this.memberships.values()],
      books: [...this.books.values()],
      ...apart([...this.entries.values()]),
    };
  }

  async put(puts: Puts): Promise<void> {
    if (puts.key) this.key = puts.key;
    if (puts.procedures !== undefined) this.procedureText = puts.procedures;
    for (const { book, id } of puts.gone ?? []) this.entries.delete(`${book}/${id}`);
    for (const item of puts.memberships ?? []) this.memberships.set(item.book, item);
    for (const item of puts.books ?? []) this.books.set(item.book, item);
    for (const item of [...(puts.entries ?? []), ...(puts.leaves ?? [])])
      this.entries.set(`${item.book}/${item.id}`, item);
    for (const item of puts.blobs ?? []) this.blobs.set(`${item.book}/${item.sha256}`, item);
  }

  async blob(book: string, sha256: string): Promise<StoredBlob | undefined> {
    return this.blobs.get(`${book}/${sha256}`);
  }

  async unsentBlobs(book: string): Promise<StoredBlob[]> {
    return [...this.blobs.values()].filter((blob) => blob.book === book && blob.unsent);
  }

  async dropSentPhotos(): Promise<number> {
    const sent = [...this.blobs].filter(([, blob]) => blob.photo && !blob.unsent);
    for (const [key] of sent) this.blobs.delete(key);
    return sent.length;
  }

  async procedures(): Promise<string | null> {
    return this.procedureText;
  }
}
