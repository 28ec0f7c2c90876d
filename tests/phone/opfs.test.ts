/** The log's file: a browser may take it away under its handle, as private windows do after a while. */

import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { Log, LogGone, type LogRecord } from "../../static/src/store/log";
import { openLog } from "../../static/src/store/opfs";
import { recover } from "../../static/src/store/recovery";
import { MemoryStorage } from "./memory_storage";

/** What a browser says of the size of a file that is gone. */
const GONE = 2 ** 64;
const RECORD: LogRecord = { kind: "entry", book: "b1", jws: "a.b.c" };

class File {
  bytes = new Uint8Array();
  isGone = false;
  held = false;
}

let files: Map<string, File>;

function handleOf(file: File) {
  return {
    getSize: () => (file.isGone ? GONE : file.bytes.length),
    read: (into: Uint8Array) => into.set(file.bytes),
    write: (bytes: Uint8Array, { at }: { at: number }) => {
      if (at > Number.MAX_SAFE_INTEGER) throw new TypeError("outside the 'unsigned long long' value range");
      const next = new Uint8Array(Math.max(file.bytes.length, at + bytes.length));
      next.set(file.bytes);
      next.set(bytes, at);
      file.bytes = next;
    },
    truncate: (size: number) => {
      file.bytes = file.bytes.slice(0, size);
    },
    flush: () => undefined,
    close: () => {
      file.held = false;
    },
  };
}

const folder = {
  getFileHandle: async (name: string) => {
    const file = files.get(name) ?? new File();
    files.set(name, file);
    return {
      createSyncAccessHandle: async () => {
        if (file.held) throw new Error("held elsewhere");
        file.held = true;
        return handleOf(file);
      },
    };
  },
  removeEntry: async (name: string) => {
    files.delete(name);
  },
};

beforeEach(() => {
  files = new Map();
  vi.stubGlobal("navigator", { storage: { getDirectory: async () => folder } });
});
afterEach(() => vi.unstubAllGlobals());

function only(): File {
  const [file] = files.values();
  if (file === undefined) throw new Error("no file");
  return file;
}

describe("a log whose file is gone", () => {
  it("says so, and goes on in another that is filled from the database", async () => {
    const storage = new MemoryStorage();
    const log = new Log((await openLog()).file);
    const stored = { book: "b1", id: "1", otherId: "2", jws: "a.b.c", index: null, mine: true };
    log.append(RECORD);
    await storage.put({ entries: [{ ...stored, sending: "unsent" }] });
    only().isGone = true;
    expect(() => log.append(RECORD)).toThrow(LogGone);

    await log.renew(async () => (await openLog()).file);
    await recover(storage, log, {});
    expect(log.read()).toEqual([RECORD]);
    log.append({ ...RECORD, jws: "d.e.f" });
    expect(log.read()).toHaveLength(2);
  });

  it("is opened anew at a start", async () => {
    await openLog();
    Object.assign(only(), { isGone: true, held: false });
    const { file, durable } = await openLog();
    expect(durable).toBe(true);
    expect(file.read()).toHaveLength(0);
  });
});
