/** Compare database, log and high-water marks at start, and put right what either has lost. */

import { base64url, fromBase64url, hex, sha256 } from "../book/bytes";
import { bothIds, parseEntry, textsOf } from "../book/entry";
import { signingInput } from "../book/jws";
import type { Membership, Recovery } from "../writer/protocol";
import type { Log, LogRecord } from "./log";
import type { PhotoFiles } from "./photo_files";
import type { Contents, Storage, StoredBlob, StoredEntry } from "./storage";

const KEEP_NEWEST = 1000;
const COMPACT_OVER = 5000;

/** Restore what only one of the two stores has; returns the whole contents and what was done. */
export async function recover(
  storage: Storage,
  log: Log,
  highWater: Record<string, number>,
): Promise<{ contents: Contents; recovery: Recovery }> {
  const contents = await storage.load();
  const records = log.read();
  await nameBoth(storage, contents);
  const memberships = missingMemberships(contents, records);
  const entries = await missingEntries(contents, records);
  const blobs = entries.length > 0 ? await missingTexts(storage, records) : [];
  if (memberships.length > 0 || entries.length > 0) await storage.put({ memberships, entries, blobs });
  contents.memberships.push(...memberships);
  contents.entries.push(...entries);
  const missing = missingRecords(contents, records);
  if (missing.length > 0) missing.unshift(...(await unloggedTexts(storage, contents, records)));
  for (const record of missing) log.append(record);
  const lost = countLost(contents, records, highWater);
  if (records.length > COMPACT_OVER) compact(log, contents, records);
  return {
    contents,
    recovery: {
      restoredToDatabase: entries.length,
      restoredToLog: missing.filter((record) => record.kind === "entry").length,
      lost,
      newKey: contents.key === null && contents.memberships.length > 0,
    },
  };
}

function missingMemberships(contents: Contents, records: LogRecord[]): Membership[] {
  const known = new Set(contents.memberships.map((membership) => membership.book));
  const found = new Map<string, Membership>();
  for (const record of records) {
    if (record.kind === "member" && !known.has(record.membership.book)) {
      found.set(record.membership.book, record.membership);
    }
  }
  return [...found.values()];
}

/** Entries that were stored before they had two ids get the second one. */
async function nameBoth(storage: Storage, contents: Contents): Promise<void> {
  const old = contents.entries.filter((entry) => entry.otherId === undefined);
  for (const entry of old) entry.otherId = (await bothIds(entry.jws)).otherId;
  if (old.length > 0) await storage.put({ entries: old });
}

/** One entry for each signing input of which the database has no text: the text that was logged last is the kept one. */
async function missingEntries(contents: Contents, records: LogRecord[]): Promise<StoredEntry[]> {
  const known = new Set(contents.entries.map((entry) => signingInput(entry.jws)));
  const last = new Map<string, { book: string; jws: string }>();
  for (const record of records) {
    if (record.kind !== "entry" || known.has(signingInput(record.jws))) continue;
    last.set(signingInput(record.jws), record);
  }
  const found = [...last.values()].map(async ({ book, jws }): Promise<StoredEntry> => {
    return { book, ...(await bothIds(jws)), jws, index: null, mine: true, sending: "unsent" };
  });
  return Promise.all(found);
}

/** Texts that only the log has; where entries were lost, so were they. */
async function missingTexts(storage: Storage, records: LogRecord[]): Promise<StoredBlob[]> {
  const found: StoredBlob[] = [];
  for (const record of records) {
    if (record.kind !== "text") continue;
    const { book, sha256: name } = record;
    const bytes = fromBase64url(record.data);
    const whole = hex(await sha256(bytes)) === name;
    if (whole && !(await storage.blob(book, name))) found.push({ book, sha256: name, bytes, unsent: true });
  }
  return found;
}

/** Put photos back that only their files have. */
export async function recoverPhotos(storage: Storage, photos: PhotoFiles): Promise<void> {
  for (const name of await photos.names()) {
    if ((await storage.blob(name.book, name.sha256)) !== undefined) continue;
    const bytes = await photos.read(name);
    const whole = bytes !== null && hex(await sha256(bytes)) === name.sha256;
    if (whole) await storage.put({ blobs: [{ ...name, bytes, unsent: true, photo: true }] });
  }
}

/** A text as the log keeps it. */
export function textRecord({ book, sha256: name, bytes }: StoredBlob): LogRecord {
  return { kind: "text", book, sha256: name, data: base64url(bytes) };
}

/** Texts that the server does not have yet and that only the database has; where the log lost entries, so were they. */
async function unloggedTexts(
  storage: Storage,
  contents: Contents,
  records: LogRecord[],
): Promise<LogRecord[]> {
  const logged = new Set(records.flatMap((record) => (record.kind === "text" ? [record.sha256] : [])));
  const unsent = await Promise.all(contents.memberships.map(({ book }) => storage.unsentBlobs(book)));
  return unsent
    .flat()
    .filter((blob) => !blob.photo && !logged.has(blob.sha256))
    .map(textRecord);
}

function missingRecords(contents: Contents, records: LogRecord[]): LogRecord[] {
  const entries = new Set(records.map((record) => (record.kind === "entry" ? record.jws : "")));
  const books = new Set(records.map((record) => (record.kind === "member" ? record.membership.book : "")));
  return [
    ...contents.memberships
      .filter((membership) => !books.has(membership.book))
      .map((membership): LogRecord => ({ kind: "member", membership })),
    ...contents.entries
      .filter((entry) => entry.mine && entry.sending !== "seen" && !entries.has(entry.jws))
      .map(({ book, jws }): LogRecord => ({ kind: "entry", book, jws })),
  ];
}

function countLost(contents: Contents, records: LogRecord[], highWater: Record<string, number>): number {
  let lost = 0;
  for (const [book, made] of Object.entries(highWater)) {
    const here = contents.entries.filter((entry) => entry.book === book && entry.mine).length;
    const dropped = records.reduce(
      (sum, record) => sum + (record.kind === "dropped" && record.book === book ? record.count : 0),
      0,
    );
    const seenInDatabase = contents.books.length > 0;
    lost += Math.max(0, made - here - (seenInDatabase ? 0 : dropped));
  }
  return lost;
}

/** Keep what is not seen yet and the newest thousand; count the rest as dropped, each entry once. */
function compact(log: Log, contents: Contents, records: LogRecord[]): void {
  const seen = new Set(
    contents.entries.filter((entry) => entry.sending === "seen").map((entry) => signingInput(entry.jws)),
  );
  const kept = withoutGivenUp(records);
  const droppable = kept.filter((record) => record.kind === "entry" && seen.has(signingInput(record.jws)));
  const going = new Set(droppable.slice(0, -KEEP_NEWEST));
  const named = new Set(kept.filter((record) => !going.has(record)).flatMap(textsNamed));
  for (const record of kept) if (record.kind === "text" && !named.has(record.sha256)) going.add(record);
  const counts = new Map<string, number>();
  for (const record of going) {
    if (record.kind === "entry") counts.set(record.book, (counts.get(record.book) ?? 0) + 1);
  }
  const dropped = [...counts].map(([book, count]): LogRecord => ({ kind: "dropped", book, count }));
  log.replace([...kept.filter((record) => !going.has(record)), ...dropped]);
}

/** The records without texts that were given up for a later one over the same signing input. */
function withoutGivenUp(records: LogRecord[]): LogRecord[] {
  const last = new Map(
    records.flatMap((record) => (record.kind === "entry" ? [[signingInput(record.jws), record]] : [])),
  );
  return records.filter((record) => record.kind !== "entry" || last.get(signingInput(record.jws)) === record);
}

const NAMELESS = { id: "", otherId: "" };

/** The texts that a logged entry names. */
function textsNamed(record: LogRecord): string[] {
  return record.kind === "entry" ? textsOf(parseEntry(record.jws, NAMELESS, null)) : [];
}
