/** The page's state, as signals, and what it asks of the writer. */

import { signal } from "@preact/signals";
import type { Bytes } from "../book/bytes";
import type { Draft, EntryType, KeptEntry } from "../book/entry";
import { firstKnown, isKey, LANGUAGES, type T, translator } from "../texts";
import { Edition } from "../walk/checks/edition";
import type { EditionFile } from "../walk/checks/procedures";
import { checksIn, editionIn, prepIn, stockIn, wordsIn } from "../walk/show/blob_texts";
import { Show } from "../walk/show/show";
import { Client, highWater, WriterError } from "../writer/client";
import type { BookStatus, Event, Membership, Recovery, Snapshot } from "../writer/protocol";

/**
 * `quiet`: it has only begun, and is mostly done before words would be read; `elsewhere`: another page of this phone has
 * the writer; `no_storage`: this browser keeps nothing for us.
 */
export type Phase = "quiet" | "starting" | "ready" | "elsewhere" | "no_storage";

const SETTINGS = "seamwalk-settings";

/** Where the page is between being opened and showing a show. */
export const phase = signal<Phase>("quiet");
/** Grows whenever a show changes, so that screens are drawn again. */
export const changes = signal(0);
/** The shows that this phone is in, by book; `changes` says when one is another. */
export const shows = new Map<string, Show>();
/** How each book stands, as the writer last reported. */
export const statuses = signal<Record<string, BookStatus>>({});
/** What the start had to mend; null once somebody has read it. */
export const recovery = signal<Recovery | null>(null);
/** Whether entries are in a file of their own beside the database. */
export const logDurable = signal(true);
/** Whether the browser promised to keep what is stored; null while it was not asked. */
export const persisted = signal<boolean | null>(null);
/** The build of this app, as the writer says it. */
export const build = signal("");
/** What went wrong last, in words, until somebody has read it. */
export const failure = signal<{ message: string; remedy: string } | null>(null);
/** The id of the entry that was written last from this page. */
export const saved = signal<string | null>(null);
/** The edition that came with the server, for shows whose office listed none. */
const standard = signal<Edition | null>(null);
/** While this is set, what is written was on paper first: by whom, and when. */
export const paper = signal<{ by: string; at: string } | null>(null);
/** A newer build that waits to take over. */
export const updateReady = signal<ServiceWorker | null>(null);
/** What this person has set on this phone; kept in localStorage. */
export const settings = signal(loadSettings());
/** Words of salted blobs by name; "" while one is on its way. */
export const names = new Map<string, string>();

/** `left`: the thumb is on the left; `big`: large type; `language`: a code of the catalogues; `rear`: maps from behind. */
export interface Settings {
  left: boolean;
  big: boolean;
  language: string;
  rear: boolean;
}

const SYNC_EVERY_MS = 20_000;
const QUIET_MS = 500;
const MAX_WAIT_MS = 300_000;
let client: Client;

function loadSettings(): Settings {
  const standard = { left: false, big: false, language: firstKnown(navigator.languages), rear: false };
  try {
    return { ...standard, ...JSON.parse(localStorage.getItem(SETTINGS) ?? "{}") };
  } catch {
    return standard;
  }
}

/** Change settings and keep them on this phone. */
export function keepSettings(change: Partial<Settings>): void {
  settings.value = { ...settings.value, ...change };
  localStorage.setItem(SETTINGS, JSON.stringify(settings.value));
}

/** The texts for a screen; a component that asks for them is drawn again when a show changes. */
export function texts(): T {
  void changes.value;
  return translator(settings.value.language);
}

/** The language that times and lengths of time are said in. */
export function locale(): string {
  const { language } = settings.value;
  return language in LANGUAGES && language !== "en" ? language : "en-GB";
}

/** Connect to the writer, and have all that it keeps. */
export function start(): void {
  client = Client.connect(onEvent);
  setTimeout(() => {
    if (phase.value === "quiet") phase.value = "starting";
  }, QUIET_MS);
  begin().catch(fail);
}

async function begin(): Promise<void> {
  try {
    takeSnapshot(await client.call<"start">({ do: "start", highWater: highWater() }));
  } catch {
    phase.value = "no_storage";
    return;
  }
  await Promise.all([...shows.keys()].map(loadFiles));
  phase.value = "ready";
  await loadProcedures();
  persisted.value = await askToKeep();
  keepSyncing();
  fetchScanner();
}

/** Ask the browser to keep what is stored; false also where it cannot be asked. */
async function askToKeep(): Promise<boolean> {
  try {
    return await navigator.storage.persist();
  } catch {
    return false;
  }
}

/** Have what scanning needs here before somebody scans in a basement; the service worker keeps it. */
function fetchScanner(): void {
  const get = () =>
    void fetch(SCAN_WORKER_URL)
      .then(() => fetch(WASM_URL))
      .catch(() => undefined);
  navigator.serviceWorker?.ready.then(() => setTimeout(get, SYNC_EVERY_MS));
}

function takeSnapshot(snapshot: Snapshot): void {
  for (const membership of snapshot.memberships) shows.set(membership.book, new Show(membership));
  for (const [book, show] of shows) show.add(snapshot.entries.filter((entry) => entry.book === book));
  statuses.value = Object.fromEntries(snapshot.statuses.map((status) => [status.book, status]));
  recovery.value = snapshot.recovery;
  logDurable.value = snapshot.logDurable;
  build.value = snapshot.build;
}

function onEvent(event: Event): void {
  switch (event.tell) {
    case "open_elsewhere":
      phase.value = "elsewhere";
      break;
    case "entries":
      takeEntries(event.book, event.entries, event.gone);
      break;
    case "status":
      statuses.value = { ...statuses.value, [event.status.book]: event.status };
      break;
    case "membership":
      takeMembership(event.membership);
      break;
    case "high_water":
      break;
  }
}

function takeEntries(book: string, entries: KeptEntry[], gone: string[]): void {
  shows.get(book)?.add(entries, gone);
  changes.value += 1;
}

function takeMembership(membership: Membership): void {
  const show = shows.get(membership.book);
  if (show) show.membership = membership;
  changes.value += 1;
}

/** Show what went wrong, with its remedy; a text of ours by its key. */
export function fail(error: unknown): void {
  const remedy = error instanceof WriterError ? error.remedy : "";
  const message = error instanceof Error ? error.message : String(error);
  failure.value = { message: isKey(message) ? texts()(message) : message, remedy };
}

/** Join a show by an invite; returns its book. Throws what the writer says, such as that the invite was used. */
export async function join(token: string, ownerFingerprint: string, name: string): Promise<string> {
  const membership = await client.call<"join">({ do: "join", token, ownerFingerprint, name });
  shows.set(membership.book, shows.get(membership.book) ?? new Show(membership));
  await sync(membership.book);
  return membership.book;
}

const BY_PROCEDURE: EntryType[] = ["found", "swapped", "procedure_walked"];

/** What stands behind every act by a procedure: its edition, and the paper it was copied from. */
function behind(book: string): { body: object; notes: Record<string, string> } {
  const show = shows.get(book);
  const edition = show ? (editionOf(show)?.hash ?? null) : null;
  if (paper.value === null) return { body: { edition }, notes: {} };
  return { body: { edition, paper: { at: paper.value.at } }, notes: { "paper.by_blob": paper.value.by } };
}

/**
 * Make an entry; both stores have it when this resolves. `notes` are texts by the field that names them; `atOnce` gets
 * the entry before it is drawn, so that what it leads to is drawn with it.
 */
export async function append<T extends EntryType>(
  book: string,
  type: T,
  body: Draft<T>,
  notes: Record<string, string> = {},
  atOnce?: (entry: KeptEntry) => void,
): Promise<KeptEntry | null> {
  try {
    const more = BY_PROCEDURE.includes(type) ? behind(book) : { body: {}, notes: {} };
    const whole = { body: { ...body, ...more.body }, notes: { ...notes, ...more.notes } };
    const entry = await client.call<"append">({ do: "append", book, type, ...whole }, (made) => {
      saved.value = made.id;
      atOnce?.(made);
    });
    sync(book).catch(fail);
    return entry;
  } catch (error) {
    fail(error);
    return null;
  }
}

/** Send and pull a book, then have the files here that it names; throws what the writer says. */
export async function sync(book: string): Promise<void> {
  await client.call<"sync">({ do: "sync", book });
  await loadFiles(book);
  await loadProcedures();
}

/** What no checked head covers, as a file for the office. */
export function unsent(book: string): Promise<string> {
  return client.call<"unsent">({ do: "unsent", book });
}

/** The book as this phone last saw it whole; null before its first head. */
export function witnessed(book: string): Promise<string | null> {
  return client.call<"witnessed">({ do: "witnessed", book });
}

async function loadFiles(book: string): Promise<void> {
  const show = shows.get(book);
  if (!show) return;
  const plans = [...show.plans.values()].filter(({ checksFile }) => !show.files.has(checksFile));
  const taken = await Promise.all([
    ...plans.map(({ checksFile }) =>
      take(book, checksFile, checksIn, (name, file) => show.files.set(name, file)),
    ),
    take(book, show.wantedEdition(), editionIn, (name, file) => {
      show.edition = new Edition(name, file, "en");
    }),
    take(book, show.wantedStock(), stockIn, (name, file) => show.takeStock(name, file)),
    take(book, show.wantedPrep(), prepIn, (name, file) => show.takePrep(name, file)),
  ]);
  if (taken.includes(true)) changes.value += 1;
}

/** Have a file that an entry names; says whether it is here now, and of its kind. */
async function take<F>(
  book: string,
  blob: string | null,
  read: (text: string) => F | null,
  keep: (name: string, file: F) => void,
): Promise<boolean> {
  const text = blob && (await client.call<"blob">({ do: "blob", book, sha256: blob }));
  const file = text ? read(text) : null;
  if (blob && file) keep(blob, file);
  return file !== null;
}

async function loadProcedures(): Promise<void> {
  if (standard.value !== null) return;
  const text = await client.call<"procedures">({ do: "procedures" });
  if (text === null) return;
  const { edition, ...file }: EditionFile & { edition: string } = JSON.parse(text);
  standard.value = new Edition(edition, file, "en");
}

/** The procedures that hold at a show, in the language that is set; null while none are here. */
export function editionOf(show: Show): Edition | null {
  return (show.edition ?? standard.value)?.in(settings.value.language) ?? null;
}

/** The reason of a fault in words; its key while no procedures are here, "" for no reason. */
export function reasonInWords(show: Show, reason: string | null | undefined): string {
  return reason ? (editionOf(show)?.reason(reason) ?? reason) : "";
}

/** Keep a photo; its name, or null when it could not be kept. */
export async function keepPhoto(book: string, bytes: Bytes): Promise<string | null> {
  try {
    return await client.call<"keep_photo">({ do: "keep_photo", book, bytes });
  } catch (error) {
    fail(error);
    return null;
  }
}

/** A photo's bytes; null when it cannot be had now. */
export function photo(book: string, sha256: string): Promise<Bytes | null> {
  return client.call<"photo">({ do: "photo", book, sha256 });
}

/** A salted text by its blob's name, "" while it is not here. */
export function textOf(book: string, blob: string | null): string {
  if (blob === null) return "";
  const known = names.get(blob);
  if (known !== undefined) return known;
  names.set(blob, "");
  client.call<"blob">({ do: "blob", book, sha256: blob }).then((text) => {
    if (text === null) names.delete(blob);
    else {
      names.set(blob, wordsIn(text));
      changes.value += 1;
    }
  }, fail);
  return "";
}

/** Sync on focus, online and a timer that waits longer, with jitter, while there is no network. */
function keepSyncing(): void {
  let wait = SYNC_EVERY_MS;
  const all = () => Promise.all([...shows.keys()].map(sync)).catch(fail);
  const again = async () => {
    await all();
    const offline = Object.values(statuses.value).some((status) => status.sync === "offline");
    wait = offline ? Math.min(wait * 2, MAX_WAIT_MS) : SYNC_EVERY_MS;
    setTimeout(again, wait * (0.75 + Math.random() / 2));
  };
  for (const event of ["focus", "online", "pageshow"]) addEventListener(event, () => void all());
  void again();
}
