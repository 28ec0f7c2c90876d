/** The log's file in the origin-private file system; only a dedicated worker may write it in step. */

import type { Bytes } from "../book/bytes";
import { type LogFile, MemoryLogFile } from "./log";

/** The name of the log in the origin-private file system. */
export const LOG_NAME = "entries.log";

/** Open the log; where the browser has no such file system, a log in memory stands in and says so. */
export async function openLog(): Promise<{ file: LogFile; durable: boolean }> {
  try {
    const folder = await navigator.storage.getDirectory();
    const handle = await folder.getFileHandle(LOG_NAME, { create: true });
    return { file: new OpfsLogFile(await handle.createSyncAccessHandle()), durable: true };
  } catch {
    return { file: new MemoryLogFile(), durable: false };
  }
}

class OpfsLogFile implements LogFile {
  constructor(private readonly handle: FileSystemSyncAccessHandle) {}

  read(): Bytes {
    const bytes = new Uint8Array(this.handle.getSize());
    this.handle.read(bytes, { at: 0 });
    return bytes;
  }

  append(bytes: Bytes): void {
    this.handle.write(bytes, { at: this.handle.getSize() });
    this.handle.flush();
  }

  replace(bytes: Bytes): void {
    this.handle.write(bytes, { at: 0 });
    this.handle.truncate(bytes.length);
    this.handle.flush();
  }
}
