/** Unsent photos beside the database, one file each: a database that vanishes takes none of them along. */

import type { Bytes } from "../book/bytes";

/** A photo by its book and the SHA-256 of its bytes in hex. */
export interface PhotoName {
  book: string;
  sha256: string;
}

/** Photos as files; to drop one that is not here is nothing wrong. */
export interface PhotoFiles {
  keep(name: PhotoName, bytes: Bytes): Promise<void>;
  names(): Promise<PhotoName[]>;
  read(name: PhotoName): Promise<Bytes | null>;
  drop(name: PhotoName): Promise<void>;
}

const FOLDER = "photos";

/** The photos' folder in the origin-private file system; where there is none, memory stands in. */
export async function openPhotoFiles(): Promise<PhotoFiles> {
  try {
    const root = await navigator.storage.getDirectory();
    return new OpfsPhotoFiles(await root.getDirectoryHandle(FOLDER, { create: true }));
  } catch {
    return new MemoryPhotoFiles();
  }
}

function fileOf({ book, sha256 }: PhotoName): string {
  return `${book}.${sha256}`;
}

function nameOf(file: string): PhotoName {
  const [book = "", sha256 = ""] = file.split(".");
  return { book, sha256 };
}

class OpfsPhotoFiles implements PhotoFiles {
  constructor(private readonly folder: FileSystemDirectoryHandle) {}

  async keep(name: PhotoName, bytes: Bytes): Promise<void> {
    const handle = await this.folder.getFileHandle(fileOf(name), { create: true });
    const access = await handle.createSyncAccessHandle();
    access.truncate(0);
    access.write(bytes, { at: 0 });
    access.flush();
    access.close();
  }

  async names(): Promise<PhotoName[]> {
    const found: PhotoName[] = [];
    for await (const file of this.folder.keys()) found.push(nameOf(file));
    return found;
  }

  async read(name: PhotoName): Promise<Bytes | null> {
    try {
      const handle = await this.folder.getFileHandle(fileOf(name));
      return new Uint8Array(await (await handle.getFile()).arrayBuffer());
    } catch {
      return null;
    }
  }

  async drop(name: PhotoName): Promise<void> {
    await this.folder.removeEntry(fileOf(name)).catch(() => undefined);
  }
}

/** Files that are gone with their page. */
export class MemoryPhotoFiles implements PhotoFiles {
  readonly files = new Map<string, Bytes>();

  async keep(name: PhotoName, bytes: Bytes): Promise<void> {
    this.files.set(fileOf(name), bytes);
  }

  async names(): Promise<PhotoName[]> {
    return [...this.files.keys()].map(nameOf);
  }

  async read(name: PhotoName): Promise<Bytes | null> {
    return this.files.get(fileOf(name)) ?? null;
  }

  async drop(name: PhotoName): Promise<void> {
    this.files.delete(fileOf(name));
  }
}
