import fc from "fast-check";
import { beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import { base64url, utf8 } from "../../static/src/book/bytes";
import {
  blobsOf,
  bothIds,
  ENTRY_TYPES,
  type KeptEntry,
  parseLeaf,
  UNREADABLE,
} from "../../static/src/book/entry";
import { Voids } from "../../static/src/book/trust";
import { Acts } from "../../static/src/screens/checks/act";
import { Pass } from "../../static/src/screens/checks/pass";
import { Service } from "../../static/src/screens/checks/service";
import { Share } from "../../static/src/screens/checks/share";
import { Walk } from "../../static/src/screens/checks/walk";
import { SignOff } from "../../static/src/screens/findings/signoff";
import { Home } from "../../static/src/screens/show/home";
import { Settings } from "../../static/src/screens/show/settings";
import { Unsent } from "../../static/src/screens/show/unsent";
import { Bench } from "../../static/src/screens/stock/bench";
import { CaseScreen } from "../../static/src/screens/stock/case";
import { CasesScreen } from "../../static/src/screens/stock/cases";
import { FoundCard } from "../../static/src/screens/stock/found";
import { Hire } from "../../static/src/screens/stock/hire";
import { names, shows, start, statuses } from "../../static/src/ui/app";
import type { ChecksFile } from "../../static/src/walk/checks/checks";
import { Edition } from "../../static/src/walk/checks/edition";
import { contactsIn, wordsIn } from "../../static/src/walk/show/blob_texts";
import { Show } from "../../static/src/walk/show/show";
import { document, read } from "./screen";
import { bodyOf } from "./entries";

vi.mock("../../static/src/writer/client", () => ({
  Client: { connect: () => ({ call: async () => null }) },
  WriterError: class extends Error {},
  highWater: () => ({}),
}));

const BOOK = "b0123456789abcdef";
const HASH = "0".repeat(64);
const SIDE = "A/side/1.1/2.1/locks:2";
const TILE = "HQT000421";
const CASE = "HQC000011";
const AT = "2026-11-20T22:00:00.000Z";
const ME = {
  book: BOOK,
  title: "T",
  ownerFingerprint: "o",
  device: "me",
  person: "p1",
  name: "Rosa",
  role: "chief",
};

const check = (id: string, kind: string, tiles: string[]) =>
  ({ id, kind, expect: "2", tiles, procedure: "lock", structural: true }) as const;
const FILE: ChecksFile = {
  v: 1,
  wall: "A",
  title: "Back",
  columns: 2,
  rows: 1,
  bends_deg: [0],
  support: "stacked",
  tiles: [1, 2].map((column) => ({ id: `${column}.1`, column, row: 1, w: 1, h: 1, type: "a" })),
  checks: [check(SIDE, "locks", ["1.1", "2.1"]), check("A/tile/1.1/condition:sound", "condition", ["1.1"])],
  walks: [
    {
      key: "seams",
      stops: [
        { place: "side/1.1/2.1", column: 1, row: 1, checks: [0] },
        { place: "tile/1.1", column: 1, row: 1, checks: [1] },
      ],
    },
  ],
  touches: {},
};
const EDITION = { v: 1 as const, procedures: {}, texts: { en: { "reasons.gap": "A gap" } } };

/** One good body of each type. */
const GOOD: Record<string, object> = {
  book_opened: { kind: "show", title: "T", slug: "t", epoch: 1, owner_jwk: {}, head_jwk: {} },
  rules_begun: { rules: 2 },
  device_admitted: { device: "other", jwk: {}, person: "p2", name_blob: HASH, role: "crew" },
  device_revoked: { device: "other", reason: "lost" },
  entry_admitted: { entry: HASH, reason: "true" },
  plan_set: { wall: "A", title: "Back", replaces: null, plan_file: HASH, checks_file: HASH },
  stock_listed: { stock_file: HASH },
  tile_bound: { plan: HASH, wall: "A", tile: "1.1", item: TILE, tag: null, replaces: [] },
  found: {
    plan: HASH,
    checks: [SIDE],
    result: "fault",
    weight: "stop",
    reason: "gap",
    answers: [],
    readings: [{ name: "gap_mm", unit: "mm", value: 1 }],
    note_blob: HASH,
    photo_blobs: [HASH],
    paper: { by_blob: HASH, at: AT },
  },
  withdrawn: { entry: HASH },
  swapped: { plan: HASH, part: "module", where: "1.1", out: TILE, in: TILE, reopens: [SIDE] },
  procedure_walked: {
    procedure: "incident",
    at: "show",
    plan: null,
    result: "fault",
    reason: "gap",
    chosen: [],
    text_blobs: { a: HASH },
  },
  work_shared: { plan: HASH, wall: "A", walk: "seams", parts: [{ person: "p1", first: 0, last: 1 }] },
  contacts_listed: { contacts_blob: HASH },
  procedures_listed: { edition_file: HASH },
  signed_off: {
    statement: "built",
    wall: "A",
    plan: HASH,
    epoch: 1,
    size: 1,
    root: HASH,
    own: [HASH],
    exceptions: [{ check: SIDE, reason: "r" }],
  },
  blob_erased: { blob: HASH },
  restored: { epoch: 2, base_size: 1, base_root: HASH, head_jwk: {} },
  head_key_changed: { epoch: 1, head_jwk: {} },
  item_seen: { items: [TILE], case: CASE, stage: "load_in", replaces: [], unopened: false },
  case_closed: { case: CASE, stage: "load_in", items: [TILE], lacking: [] },
  prep_listed: { prep_file: HASH },
  parts_counted: { stage: "load_in", part: "lock_spring", of: "", count: 2 },
  item_looked_at: {
    item: TILE,
    stage: "load_in",
    covers: ["corner"],
    damage: [{ part: "corner:top_left", what: "chipped", weight: "show" }],
  },
  hire_handed_over: {
    hire: "in",
    leg: "out",
    party_blob: HASH,
    items: [TILE],
    firmware: "1",
    configuration: null,
  },
  countersigned: { entry: HASH, agrees: true, name_blob: HASH },
  item_benched: { item: TILE, step: "triage", result: "repair", mended: [], used: {}, minutes: 3 },
};

/** A text with a signature that has two forms: what is judged elsewhere is not judged here. */
function textOf(payload: unknown, header: object = {}): string {
  const whole = { alg: "ES256", typ: "seamwalk-entry", kid: "me", ...header };
  const parts = [whole, payload].map((part) => base64url(utf8(JSON.stringify(part))));
  return [...parts, base64url(new Uint8Array(64).fill(1))].join(".");
}

let made = 0;
async function entryOf(type: string, body: unknown, more: object = {}): Promise<KeptEntry> {
  made += 1;
  const payload = { type, v: 1, book: BOOK, n: made, prev: null, at: AT, body, ...more };
  const text = textOf(payload, { kid: (more as { kid?: string }).kid ?? "me" });
  return parseLeaf(text, await bothIds(text), BOOK, null);
}

/** Every screen of the phone that shows entries, as text. */
function everyScreen(show: Show): string {
  const wall = { show, wall: "A", file: FILE };
  const [walk] = FILE.walks as [ChecksFile["walks"][number]];
  const handovers = show.records.all("hire_handed_over").map(({ id }) => read(Hire, { show, id }));
  return [
    read(Home, { show }),
    read(Unsent, { show }),
    read(Acts, { show }),
    read(Hire, { show, id: "" }),
    ...handovers,
    read(Bench, { show, code: "" }),
    read(Bench, { show, code: TILE }),
    ...(["prep", "load_in", "load_out", "return"] as const).map((stage) =>
      read(CasesScreen, { show, stage }),
    ),
    read(CaseScreen, { show, stage: "load_in", box: CASE }),
    read(FoundCard, { show, scanned: TILE, target: null, onBound: () => undefined }),
    read(Share, { ...wall, walk }),
    read(SignOff, wall),
    read(Pass, { ...wall, walk }),
    read(Service, { ...wall, tile: "1.1" }),
    read(Settings, { show }),
    ...walk.stops.map((_, index) => read(Walk, { ...wall, walk, index })),
  ].join(" ");
}

function showOf(entries: KeptEntry[], role = "chief"): Show {
  const show = new Show({ ...ME, role });
  show.files.set(HASH, FILE);
  show.edition = new Edition(HASH, EDITION, "en");
  const stock = { v: 1, items: [[TILE, "a", CASE, null, "here"]], labels: {}, revoked: {} };
  show.takeStock(HASH, stock as never);
  show.add(entries);
  shows.clear();
  shows.set(BOOK, show);
  return show;
}

beforeAll(() => {
  vi.stubGlobal("document", document);
  vi.stubGlobal("localStorage", { getItem: () => null, setItem: () => undefined });
  start();
});

beforeEach(() => {
  names.clear();
  const status = {
    book: BOOK,
    size: 9,
    root: HASH,
    epoch: 1,
    unsent: 1,
    held: 0,
    heldAtOffice: 0,
    restores: 0,
  };
  const refused = [{ id: HASH, why: "a reason of tomorrow", remedy: "" }];
  const rest = { refused, sync: "idle" as const, why: "", lastSyncAt: AT, admitted: true };
  statuses.value = { [BOOK]: { ...status, ...rest, copies: 2, forked: true, missing: 1 } };
});

const odd = fc.oneof(
  fc.constantFrom(
    "",
    "constructor",
    "__proto__",
    "toString",
    "a reading of tomorrow",
    "\ud800",
    "\0",
    "é/ü",
    "//",
    "A/",
  ),
  fc.string({ unit: "binary", maxLength: 12 }),
  fc.constantFrom(null, true, 0, -1, 1e308, 2 ** 53, [], {}, [[]], [null], { a: [1] }),
);

/** Every place in a body, as the way to it. */
function placesIn(value: unknown, way: (string | number)[] = []): (string | number)[][] {
  if (typeof value !== "object" || value === null) return [way];
  return [way, ...Object.entries(value).flatMap(([name, inner]) => placesIn(inner, [...way, name]))];
}

/** The body with something else at a place, or without it. */
function changed(body: unknown, way: (string | number)[], to: unknown): unknown {
  const [name, ...rest] = way;
  if (name === undefined) return to;
  const copy = structuredClone(body) as Record<string | number, unknown>;
  const value = rest.length > 0 ? changed(copy[name], rest, to) : to;
  if (value === undefined) delete copy[name];
  else copy[name] = value;
  return copy;
}

/** Members that some reader or other asks for. */
const MEMBERS = [...new Set(Object.values(GOOD).flatMap((body) => Object.keys(body)))];

const anyEntry = fc
  .record({
    type: fc.oneof(
      { weight: 9, arbitrary: fc.constantFrom(...Object.keys(GOOD)) },
      { weight: 1, arbitrary: odd },
    ),
    places: fc.array(fc.record({ which: fc.nat(99), to: fc.option(odd, { nil: undefined }) }), {
      maxLength: 2,
    }),
    extra: fc.dictionary(fc.constantFrom(...MEMBERS), odd, { maxKeys: 2 }),
    at: fc.constantFrom(AT, "2026-13-40T99:99:99.999Z", "２０２６-11-20T22:00:00.000Z", ""),
    n: fc.constantFrom(1, 2, 2 ** 53, 1e308),
    kid: fc.constantFrom("me", "other", "__proto__", ""),
  })
  .map(({ type, places, extra, ...more }) => {
    let body: unknown = { ...(GOOD[String(type)] ?? GOOD.found), ...extra };
    for (const { which, to } of places) {
      const ways = placesIn(body);
      body = changed(body, ways[which % ways.length] as never, to);
    }
    return { type, body, more };
  });

describe("whatever an entry holds", () => {
  it("no screen fails on it", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(anyEntry, { minLength: 1, maxLength: 6 }),
        fc.constantFrom("chief", "warehouse", "partner", "of tomorrow"),
        async (told, role) => {
          const entries = await Promise.all(
            told.map(({ type, body, more }) => entryOf(type as string, body, more)),
          );
          const voids = new Voids();
          const asFound = entries.map((entry) => ({ ...entry, type: "found", body: bodyOf(entry) }) as KeptEntry);
          const twice = [...entries, ...asFound];
          for (const [index, entry] of [...twice, ...entries].entries()) voids.judge({ ...entry, index });
          for (const name of entries.flatMap(blobsOf)) expect(name).toBeTypeOf("string");
          everyScreen(showOf(entries, role));
        },
      ),
      { numRuns: 200 },
    );
  });

  it("a good entry of every type is read, and one of a shape that nobody knows changes nothing", async () => {
    expect(Object.keys(GOOD).filter((type) => !Object.hasOwn(ENTRY_TYPES, type))).toEqual([]);
    for (const [type, body] of Object.entries(GOOD)) {
      expect((await entryOf(type, body)).type, type).toBe(type);
      if (type !== "blob_erased") expect((await entryOf(type, {})).type, type).toBe(UNREADABLE);
    }
    const show = showOf([await entryOf("found", { ...GOOD.found, result: "of tomorrow" })]);
    expect(show.fold.checks()).toEqual([]);
  });

  it.each([
    ["a reason", "found", { reason: "reason_of_tomorrow" }, "reason_of_tomorrow"],
    ["a place that no plan has", "found", { checks: ["A/nowhere/7/locks:2"] }, "nowhere/7"],
    ["a check without a place", "found", { checks: ["A"] }, "A"],
    ["a statement", "signed_off", { statement: "statement_of_tomorrow" }, "statement_of_tomorrow"],
    [
      "a damage",
      "item_looked_at",
      { damage: [{ part: "part_x:y", what: "what_x", weight: "show" }] },
      "part_x",
    ],
    ["a step of the bench", "item_benched", { step: "step_x", result: "result_x" }, "result_x"],
    ["a kind of handover", "hire_handed_over", { hire: "hire_x", leg: "leg_x" }, "hire_x_leg_x"],
    ["a procedure", "procedure_walked", { procedure: "procedure_x" }, "procedure_x"],
    ["a code", "item_seen", { items: ["X"] }, "X"],
  ])("%s without words is shown as it is written", async (_, type, odd_, raw) => {
    expect(everyScreen(showOf([await entryOf(type, { ...GOOD[type], ...odd_ })]))).toContain(raw);
  });

  it("a look that names no damage is a sound one, as the server takes it", async () => {
    const { damage, ...body } = GOOD.item_looked_at as { damage: unknown };
    expect(damage).toBeDefined();
    expect(everyScreen(showOf([await entryOf("item_looked_at", body)]))).toContain("sound");
  });

  it("a time that is none is shown as it is written", async () => {
    const told = everyScreen(showOf([await entryOf("signed_off", GOOD.signed_off, { at: "at noon" })]));
    expect(told).toContain("at noon");
  });

  it("is read when its header holds what is no number", async () => {
    const header = '{"alg":"ES256","typ":"seamwalk-entry","kid":"me","jwk":{"x":NaN,"y":-Infinity}}';
    const text = textOf({ type: "found", v: 1, book: BOOK, n: 1, prev: null, at: AT, body: GOOD.found });
    const odd_ = [base64url(utf8(header)), ...text.split(".").slice(1)].join(".");
    expect(parseLeaf(odd_, await bothIds(odd_), BOOK, 0)).toMatchObject({
      type: "found",
      device: "me",
      index: 0,
    });
  });

  it("a role that nobody knows may write nothing", async () => {
    const voids = new Voids();
    const kept = [
      await entryOf("book_opened", GOOD.book_opened, { kid: "owner" }),
      await entryOf("device_admitted", GOOD.device_admitted, { kid: "owner", n: 2 }),
      await entryOf(
        "device_admitted",
        { ...(GOOD.device_admitted as object), role: "constructor" },
        { kid: "owner", n: 3 },
      ),
    ];
    const again = { ...(kept[1] as KeptEntry), id: "another text" };
    const found = await entryOf("found", GOOD.found, { kid: "other" });
    const told = [...kept, again, found].map((entry, index) => voids.judge({ ...entry, index }));
    expect(told).toEqual([null, null, null, "twin", "let_in_by_twin"]);
  });

  it("no leaf is without a place, whatever its text", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(
          fc.string(),
          fc.jsonValue().map((value) => textOf(value)),
        ),
        async (text) => {
          expect(parseLeaf(text, await bothIds(text), BOOK, 3)).toMatchObject({ index: 3, type: UNREADABLE });
        },
      ),
    );
  });
});

describe("whatever a blob holds", () => {
  it("is words, or shown raw", () => {
    expect(wordsIn('{"salt":"AA","text":"2 mm"}')).toBe("2 mm");
    for (const raw of ["", "{", "5", "null", '{"text":5}', '{"text":{"a":1}}', "[]"])
      expect(wordsIn(raw)).toBe(raw);
  });

  it("is contacts that can be called, or none", () => {
    const good = { name: "Kim", role: "chief", tel: "+49 1" };
    expect(contactsIn(JSON.stringify([good, null, 5, { name: "no number" }, { tel: 5 }]))).toEqual([good]);
    for (const raw of ["", "{", "5", "null", "{}"]) expect(contactsIn(raw)).toEqual([]);
  });
});
