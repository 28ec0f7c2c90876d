/** The one writer: a dedicated worker that holds the lock, the stores, the key and the sync. */

import { IndexedDbStorage } from "../store/indexeddb";
import { Log, LogGone } from "../store/log";
import { openLog } from "../store/opfs";
import { openPhotoFiles } from "../store/photo_files";
import { recover } from "../store/recovery";
import { HttpApi } from "../sync/api";
import { Phone } from "./phone";
import type { Event, FromWriter, Request, ToWriter } from "./protocol";
import { inProtocol } from "./trouble";

const LOCK = "seamwalk-writer";
/** The compiler knows workers in general; this one is a page's own. */
const worker = self as unknown as DedicatedWorkerGlobalScope;

let phone: Phone;

function post(message: FromWriter): void {
  worker.postMessage(message);
}

/** What an entry that is being made brings about: told with its reply, so that the page draws both at once. */
let withReply: Event[] | null = null;

function tell(event: Event): void {
  if (withReply === null) post({ event });
  else withReply.push(event);
}

/** A browser that does not say is assumed to have room: what it cannot keep is reported then. */
async function room(): Promise<number> {
  const { quota, usage } = (await navigator.storage.estimate?.()) ?? {};
  return quota === undefined ? Number.POSITIVE_INFINITY : quota - (usage ?? 0);
}

/** Open what is kept here; the database at once, for whoever reads it first waits for it. */
async function openStores() {
  const storage = new IndexedDbStorage();
  const [{ file, durable }, photos] = await Promise.all([openLog(), openPhotoFiles(), storage.ready()]);
  return { durable, stores: { storage, log: new Log(file), photos } };
}

/** Begun once this is the one writer: before the page has asked. */
let opening: ReturnType<typeof openStores>;

async function start(highWater: Record<string, number>): Promise<unknown> {
  const { durable, stores } = await opening;
  phone = new Phone({ ...stores, api: new HttpApi(), tell, now: () => new Date(), room });
  return { ...(await phone.start(highWater)), logDurable: durable, build: BUILD };
}

function handle(request: Request): Promise<unknown> {
  switch (request.do) {
    case "start":
      return start(request.highWater);
    case "join":
      return phone.join(request.token, request.ownerFingerprint, request.name);
    case "append":
      withReply = [];
      return phone.append(request.book, request.type, request.body, request.notes);
    case "keep_photo":
      return phone.keepPhoto(request.book, request.bytes);
    case "photo":
      return phone.bytes(request.book, request.sha256);
    case "sync":
      return phone.sync(request.book);
    case "blob":
      return phone.blob(request.book, request.sha256);
    case "procedures":
      return phone.procedures();
    case "unsent":
      return phone.unsent(request.book);
    case "witnessed":
      return Promise.resolve(phone.witnessed(request.book));
  }
}

let renewing: Promise<unknown> | null = null;

/** Another log file takes the place of one that is gone, and is filled from the database. */
function renewLog(): Promise<unknown> {
  renewing ??= opening
    .then(async ({ stores: { storage, log } }) => {
      await log.renew(async () => (await openLog()).file);
      await recover(storage, log, {});
    })
    .finally(() => {
      renewing = null;
    });
  return renewing;
}

/** Handle a request, once more where the browser took the log's file away under this page. */
async function handleWhole(request: Request): Promise<unknown> {
  try {
    return await handle(request);
  } catch (error) {
    if (!(error instanceof LogGone)) throw error;
    await renewLog();
    return handle(request);
  }
}

/** Entries are made one after the other; nothing that may wait for the network is in their queue. */
let writing: Promise<unknown> = Promise.resolve();
let syncing: Promise<unknown> = Promise.resolve();
/** Syncs that have not begun yet: whoever asks meanwhile gets the same one. */
const waitingSyncs = new Map<string, Promise<unknown>>();

function syncOnce(request: Extract<Request, { do: "sync" }>): Promise<unknown> {
  const waiting = waitingSyncs.get(request.book);
  if (waiting !== undefined) return waiting;
  const sync = syncing.then(() => {
    waitingSyncs.delete(request.book);
    return handleWhole(request);
  });
  waitingSyncs.set(request.book, sync);
  syncing = sync.catch(() => undefined);
  return sync;
}

function enqueue(request: Request): Promise<unknown> {
  if (request.do === "sync") return syncOnce(request);
  if (request.do === "blob" || request.do === "photo" || request.do === "procedures") return handle(request);
  const done = writing.then(() => handleWhole(request));
  writing = done.catch(() => undefined);
  return done;
}

/** What waited for the reply to a request. */
function takenFor(request: Request): Event[] {
  if (request.do !== "append") return [];
  const events = withReply ?? [];
  withReply = null;
  return events;
}

function answer({ seq, request }: ToWriter): void {
  enqueue(request).then(
    (reply) => post({ seq, reply, events: takenFor(request) }),
    (error: Error) => post({ seq, error: inProtocol(error), events: takenFor(request) }),
  );
}

/** Resolves once this is the one writer: at once, or when the other page's is gone; a page that is reloaded has one. */
const only = new Promise<void>((begin) => {
  const hold = () => {
    opening = openStores();
    begin();
    return new Promise(() => {
      // Held until this page is gone.
    });
  };
  navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => {
    if (lock !== null) return hold();
    tell({ tell: "open_elsewhere" });
    void navigator.locks.request(LOCK, hold);
    return undefined;
  });
});
worker.onmessage = ({ data }: MessageEvent<ToWriter>) => void only.then(() => answer(data));
