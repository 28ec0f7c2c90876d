/** The log's file in the origin-private file system; only a dedicated worker may write it in step. */

import type { Bytes } from "../book/bytes";
import { type LogFile, LogGone, MemoryLogFile } from "./log";

/** The name of the log in the origin-private file system. */
export const LOG_NAME = "entries.log";

/** Open the log; where the browser has no such file system, a log in memory stands in and says so. */
export async function openLog(): Promise<{ file: LogFile; durable: boolean }> {
  try {
    const folder = await navigator.storage.getDirectory();
    const opened = await opfsLog(folder);
    if (opened.isThere()) return { file: opened, durable: true };
    // what is left of a file that the browser took away can be neither read nor written
    opened.close();
    await folder.removeEntry(LOG_NAME);
    return { file: await opfsLog(folder), durable: true };
  } catch {
    return { file: new MemoryLogFile(), durable: false };
  }
}

async function opfsLog(folder: FileSystemDirectoryHandle): Promise<OpfsLogFile> {
  const handle = await folder.getFileHandle(LOG_NAME, { create: true });
  return new OpfsLogFile(await handle.createSyncAccessHandle());
}

/** A private window's file may go while its handle is held: its size is then no number that a file can have. */
class OpfsLogFile implements LogFile {
  constructor(private readonly handle: FileSystemSyncAccessHandle) {}

  isThere(): boolean {
    return Number.isSafeInteger(this.handle.getSize());
  }

  close(): void {
    this.handle.close();
  }

  read(): Bytes {
    const bytes = new Uint8Array(this.handle.getSize());
    this.handle.read(bytes, { at: 0 });
    return bytes;
  }

  append(bytes: Bytes): void {
    if (!this.isThere()) throw new LogGone("the log file is gone");
    this.handle.write(bytes, { at: this.handle.getSize() });
    this.handle.flush();
  }

  replace(bytes: Bytes): void {
    this.handle.write(bytes, { at: 0 });
    this.handle.truncate(bytes.length);
    this.handle.flush();
  }
}
