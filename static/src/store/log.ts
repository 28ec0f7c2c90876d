/**
 * An append-only log beside the database: either alone rebuilds the other. One record is its length and CRC-32
 * (4 bytes each, big-endian), then its JSON; a torn tail is cut off at the next start.
 */

import { type Bytes, concat, fromUtf8, utf8 } from "../book/bytes";
import { at } from "../book/must";
import type { Membership } from "../writer/protocol";

/** What the log can say, in the order in which it came about. */
export type LogRecord =
  | { kind: "member"; membership: Membership }
  /** An entry made here; of several texts over one signing input the last is the one that is kept. */
  | { kind: "entry"; book: string; jws: string }
  /** A text that an entry names, written before it. Photos have files of their own. */
  | { kind: "text"; book: string; sha256: string; data: string }
  /** Entries of a book that were seen under a checked head and are no longer in the log. */
  | { kind: "dropped"; book: string; count: number };

/** The browser took the file away under its handle: it is opened anew, and filled from the database. */
export class LogGone extends Error {}

/** A file that can be read whole, appended to durably, and replaced. */
export interface LogFile {
  read(): Bytes;
  append(bytes: Bytes): void;
  replace(bytes: Bytes): void;
  /** Let go of it, so that it can be opened anew. */
  close(): void;
}

const HEADER = 8;

/** The records of a log file. */
export class Log {
  constructor(private file: LogFile) {}

  /** Go on in another file; what the old one held is not in it. `open` is asked once the old one was let go of. */
  async renew(open: () => Promise<LogFile>): Promise<void> {
    this.file.close();
    this.file = await open();
  }

  /** All whole records; whatever follows the last one is cut off. */
  read(): LogRecord[] {
    const bytes = this.file.read();
    const { records, end } = unframe(bytes);
    if (end < bytes.length) this.file.replace(bytes.slice(0, end));
    return records;
  }

  append(record: LogRecord): void {
    this.file.append(frame(record));
  }

  replace(records: LogRecord[]): void {
    this.file.replace(concat(...records.map(frame)));
  }
}

/** A record as bytes: length, CRC-32, JSON. */
export function frame(record: LogRecord): Bytes {
  const body = utf8(JSON.stringify(record));
  const header = new DataView(new ArrayBuffer(HEADER));
  header.setUint32(0, body.length);
  header.setUint32(4, crc32(body));
  return concat(new Uint8Array(header.buffer), body);
}

/** The whole records at the beginning of these bytes, and where the last one ends. */
export function unframe(bytes: Bytes): { records: LogRecord[]; end: number } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const records: LogRecord[] = [];
  let at = 0;
  while (at + HEADER <= bytes.length) {
    const end = at + HEADER + view.getUint32(at);
    if (end > bytes.length) break;
    const body = bytes.slice(at + HEADER, end);
    if (crc32(body) !== view.getUint32(at + 4)) break;
    records.push(JSON.parse(fromUtf8(body)));
    at = end;
  }
  return { records, end: at };
}

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let bit = 0; bit < 8; bit++) c = c & 1 ? (c >>> 1) ^ 0xedb88320 : c >>> 1;
  return c >>> 0;
});

/** CRC-32 as in ISO/IEC 3309 and zlib. */
export function crc32(bytes: Bytes): number {
  let crc = 0xffffffff;
  for (const byte of bytes) crc = (crc >>> 8) ^ at(CRC_TABLE, (crc ^ byte) & 0xff);
  return (crc ^ 0xffffffff) >>> 0;
}

/** A log file that is gone with its page: where a browser has no file system of its own, and in tests. */
export class MemoryLogFile implements LogFile {
  bytes: Bytes = new Uint8Array();
  read(): Bytes {
    return this.bytes;
  }
  append(bytes: Bytes): void {
    this.bytes = concat(this.bytes, bytes);
  }
  replace(bytes: Bytes): void {
    this.bytes = bytes;
  }
  close(): void {}
}
