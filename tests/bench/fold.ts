/** The phone's work on a long book: JSON.parse of its payloads as the baseline, then what the phone does instead. */

import { base64url, utf8 } from "../../static/src/book/bytes";
import type { EntryOf } from "../../static/src/book/entry";
import { makeDeviceKey } from "../../static/src/book/jws";
import { at } from "../../static/src/book/must";
import { Log, MemoryLogFile } from "../../static/src/store/log";
import { MemoryPhotoFiles } from "../../static/src/store/photo_files";
import { NoAnswer } from "../../static/src/sync/api";
import { Show } from "../../static/src/walk/show/show";
import { Phone } from "../../static/src/writer/phone";
import { MemoryStorage } from "../phone/memory_storage";

const TINY = process.argv.includes("--tiny");
const ENTRIES = TINY ? 100 : 50_000;
const BOOK = "b0000000000000001";
const ROUNDS = TINY ? 1 : 5;

interface Payload {
  type: "found";
  v: 1;
  book: string;
  n: number;
  prev: string;
  at: string;
  body: { plan: string; checks: string[]; result: "ok"; answers: string[] };
}

function payload(number: number): Payload {
  const check = `A/tile/${(number % 100) + 1}.${(Math.floor(number / 100) % 50) + 1}/condition:sound`;
  const body = { plan: "0".repeat(64), checks: [check], result: "ok" as const, answers: [] };
  const at = "2026-11-20T22:00:00.000Z";
  return { type: "found", v: 1, book: BOOK, n: number + 1, prev: "0".repeat(64), at, body };
}

function hexId(number: number): string {
  return number.toString(16).padStart(64, "0");
}

function median(values: number[]): number {
  return at(
    values.sort((a, b) => a - b),
    Math.floor(values.length / 2),
  );
}

function ms(work: () => unknown): number {
  const started = performance.now();
  work();
  return performance.now() - started;
}

const membership = {
  book: BOOK,
  title: "",
  ownerFingerprint: "",
  device: "d",
  person: "p",
  name: "",
  role: "crew",
};
const texts = Array.from({ length: ENTRIES }, (_, number) => JSON.stringify(payload(number)));

function kept(parsed: Payload, number: number): EntryOf<"found"> {
  const { type, n, prev, at, body } = parsed;
  const named = { id: hexId(number), otherId: `f${hexId(number).slice(1)}`, said: type, void: null };
  return {
    ...named,
    jws: "",
    book: BOOK,
    type,
    device: `d${number % 8}`,
    n,
    prev,
    at,
    body,
    index: number,
  };
}

const entries = texts.map((text, number) => kept(JSON.parse(text), number));
const parse = median(Array.from({ length: ROUNDS }, () => ms(() => texts.map((text) => JSON.parse(text)))));

function foldAll(): Show {
  const show = new Show(membership);
  show.add(entries);
  return show;
}

const fold = median(
  Array.from({ length: ROUNDS }, () =>
    ms(() => {
      const show = foldAll();
      for (const check of show.fold.checks()) show.fold.state(check);
    }),
  ),
);
console.log(
  `fold of ${ENTRIES} entries ${fold.toFixed(0)} ms, JSON.parse of the same bytes ${parse.toFixed(0)} ms: x ${(fold / parse).toFixed(2)} (goal under 2)`,
);

const show = foldAll();
const empty = new Show(membership);
function oneByOne(target: Show, from: number): number {
  const count = TINY ? 10 : 1000;
  const more = Array.from({ length: count }, (_, i) => kept(payload(from + i), from + i));
  const spent = ms(() => {
    for (const entry of more) {
      target.add([entry]);
      target.fold.state(entry.body.checks[0] ?? "");
      target.undoable();
      target.stops();
    }
  });
  return (spent / count) * 1000;
}
oneByOne(new Show(membership), 0);
const early = oneByOne(empty, 0);
const late = oneByOne(show, ENTRIES);
console.log(
  `one more entry and what a screen asks: ${late.toFixed(1)} us after ${ENTRIES}, ${early.toFixed(1)} us on an empty show: x ${(late / early).toFixed(1)}`,
);

/** Node has it where it was started with --expose-gc. */
const gc = (globalThis as { gc?: () => void }).gc;
gc?.();
const before = process.memoryUsage().heapUsed;
for (let round = 0; round < 20; round++) {
  for (const check of show.fold.checks()) show.fold.state(check);
  show.signOffs("A");
  show.undoable();
}
gc?.();
const grown = (process.memoryUsage().heapUsed - before) / 1024;
console.log(`memory after asking for all states 20 times: ${grown.toFixed(0)} kB more than before`);

async function tap(stored: number): Promise<number> {
  const storage = new MemoryStorage();
  const key = await makeDeviceKey();
  const header = base64url(utf8(JSON.stringify({ alg: "ES256", kid: "somebody", typ: "seamwalk-entry" })));
  const all = Array.from({ length: stored }, (_, number) => ({
    book: BOOK,
    id: hexId(number),
    otherId: `f${hexId(number).slice(1)}`,
    jws: `${header}.${base64url(utf8(at(texts, number)))}.AA`,
    index: number,
    mine: false,
    sending: "seen" as const,
  }));
  await storage.put({ key, memberships: [{ ...membership, device: key.thumbprint }], entries: all });
  const down = () => Promise.reject(new NoAnswer());
  const calls = { join: down, signIn: down, sync: down, getBlob: down, putBlob: down, procedures: down };
  const api = { ...calls, clockAheadMs: null };
  const surroundings = {
    storage,
    log: new Log(new MemoryLogFile()),
    api,
    tell: () => undefined,
    now: () => new Date(),
    room: async () => 1e9,
    photos: new MemoryPhotoFiles(),
  };
  const phone = new Phone(surroundings);
  await phone.start({});
  const body = {
    plan: "0".repeat(64),
    checks: ["A/tile/1.1/condition:sound"],
    result: "ok" as const,
    answers: [],
  };
  const count = TINY ? 10 : 200;
  for (let i = 0; i < 20; i++) await phone.append(BOOK, "found", body);
  const started = performance.now();
  for (let i = 0; i < count; i++) await phone.append(BOOK, "found", body);
  return ((performance.now() - started) / count) * 1000;
}

const short = await tap(0);
const long = await tap(ENTRIES);
console.log(
  `a tap, signed and stored in memory: ${long.toFixed(0)} us with ${ENTRIES} entries, ${short.toFixed(0)} us with none: x ${(long / short).toFixed(2)}`,
);
