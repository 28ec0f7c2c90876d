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
import { at } from "../../static/src/book/must";
import { Voids } from "../../static/src/book/trust";
import { names, start, statuses } from "../../static/src/ui/app";
import { contactsIn, wordsIn } from "../../static/src/walk/show/blob_texts";
import { bodyOf } from "./entries";
import { AT, BOOK, entryOf, everyScreen, GOOD, GOOD_BY_TYPE, HASH, showOf, textOf } from "./odd_books";
import { document } from "./screen";

vi.mock("../../static/src/writer/client", () => ({
  Client: { connect: () => ({ call: async () => null }) },
  WriterError: class extends Error {},
  highWater: () => ({}),
}));

beforeAll(() => {
  vi.stubGlobal("document", document);
  vi.stubGlobal("localStorage", { getItem: () => null, setItem: () => undefined });
  vi.stubGlobal("matchMedia", () => ({ matches: true }));
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
  statuses.value = { [BOOK]: { ...status, ...rest, copies: 2, forked: true, missing: 1, clockAheadMs: 0 } };
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
  // A way leads through objects and lists alone.
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
    let body: unknown = { ...(GOOD_BY_TYPE[String(type)] ?? GOOD.found), ...extra };
    for (const { which, to } of places) {
      const ways = placesIn(body);
      body = changed(body, at(ways, which % ways.length), to);
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
          const entries = await Promise.all(told.map(({ type, body, more }) => entryOf(type, body, more)));
          const voids = new Voids();
          const asFound = entries.map(
            (entry) => ({ ...entry, type: "found", body: bodyOf(entry) }) as KeptEntry,
          );
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
    expect(everyScreen(showOf([await entryOf(type, { ...GOOD_BY_TYPE[type], ...odd_ })]))).toContain(raw);
  });

  it("a look that names no damage is a sound one, as the server takes it", async () => {
    const { damage, ...body } = GOOD.item_looked_at;
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
        { ...GOOD.device_admitted, role: "constructor" },
        { kid: "owner", n: 3 },
      ),
    ];
    const again = { ...at(kept, 1), id: "another text" };
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
