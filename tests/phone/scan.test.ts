import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { KeptEntry } from "../../static/src/book/entry";
import { at, must } from "../../static/src/book/must";
import { codeIn, readCode } from "../../static/src/scan/codes";
import { Stock, type StockFile } from "../../static/src/scan/stock";
import { Bindings } from "../../static/src/walk/stock/bindings";
import scenes from "../vectors/bindings.json";
import codes from "../vectors/codes.json";
import { keptEntry } from "./entries";

describe("codes", () => {
  it.each(codes)("are read as the server reads them: $typed", ({ typed, text, kind, grouped, remedy }) => {
    const read = readCode(typed);
    if (text !== null) {
      expect(read).toEqual({ code: { text, kind, grouped } });
      return;
    }
    const suggested = [...(remedy ?? "").matchAll(/[0-9A-Z]{2}-[A-Z]-\d{5}-[0-9A-Z]/g)].map(([code]) => code);
    if (!("wrong" in read)) throw new Error("taken for a code");
    const likely = read.wrong === "check" ? read.likely.slice(0, 3) : [];
    expect(likely).toEqual(read.wrong === "check" ? suggested : []);
  });

  it("are found in an address of any host, and nothing else is followed", () => {
    const text = codes[0]?.text ?? "";
    for (const scanned of [
      `HTTPS://WALLS.EXAMPLE.TEST/L/${text}`,
      `http://10.0.0.5:8460/l/${text}`,
      ` ${text} `,
    ]) {
      expect(codeIn(scanned)?.text).toBe(text);
    }
    for (const scanned of [
      `https://x.test/L/${text}?a=1`,
      `https://x.test/M/${text}`,
      "javascript:alert(1)",
      "4711",
    ]) {
      expect(codeIn(scanned)).toBeNull();
    }
  });
});

const codeOf = (letter: string) => must(codes.find(({ text }) => text?.[2] === letter)?.text);
const CASE = codeOf("C");
const TILE = codeOf("T");
const LATER = codeOf("M");
const UNKNOWN = codeOf("E");
const GONE = codeOf("P");
const FILE: StockFile = {
  v: 1,
  items: [
    [CASE, null, null, null, "here"],
    [TILE, "plover_500", CASE, "A", "away"],
  ],
  labels: { [LATER]: TILE },
  revoked: { [GONE]: "Misprint." },
};

describe("the stock", () => {
  it("says what a label stands for, also a later one", () => {
    const stock = new Stock(FILE);
    expect(stock.find(TILE)).toMatchObject({ is: "known", thing: { code: TILE, at: "away", batch: "A" } });
    expect(stock.find(LATER)).toMatchObject({ is: "known", code: { text: LATER }, thing: { code: TILE } });
    expect(stock.find(UNKNOWN)).toMatchObject({ is: "unknown", code: { kind: "electronics_unit" } });
    expect(stock.find(GONE)).toMatchObject({ is: "revoked", reason: "Misprint." });
    expect(stock.find("RENTAL 77")).toEqual({ is: "foreign", text: "RENTAL 77" });
    expect(stock.tilesOf(CASE)).toEqual([TILE]);
  });
});

function bound(tile: string, item: string, replaces: string[] = [], device = "me"): KeptEntry {
  return keptEntry("tile_bound", { plan: "p", wall: "A", tile, item, tag: null, replaces }, { device });
}

describe("bindings", () => {
  it.each(scenes)("stand as at the office: $description", ({ made, withdrawn, standing }) => {
    const bindings = new Bindings();
    for (const { entry, author } of withdrawn) {
      const back = bound("", "", [], author);
      bindings.add({ ...back, type: "withdrawn", body: { entry } });
    }
    for (const { entry, author, tile, name, replaces } of made) {
      bindings.add({ ...bound(tile, name, replaces, author), id: entry });
    }
    expect(
      bindings
        .standing()
        .map(({ id }) => id)
        .sort(),
    ).toEqual(standing);
  });

  it("hold until one that saw them replaces them, and come back when that is taken back", () => {
    const bindings = new Bindings();
    const first = bound("1.1", TILE);
    const moved = bound("2.1", TILE, [first.id]);
    for (const entry of [first, moved]) bindings.add(entry);
    expect(bindings.of(TILE).map(({ tile }) => tile)).toEqual(["2.1"]);
    bindings.add({ ...moved, id: "w", otherId: "w'", type: "withdrawn", body: { entry: moved.id } });
    expect(bindings.of(TILE).map(({ tile }) => tile)).toEqual(["1.1"]);
  });

  it("are taken back by the same person on another phone, once that is known", () => {
    const people = new Map<string, string>();
    const bindings = new Bindings((device) => people.get(device) ?? device);
    const made = bound("1.1", TILE);
    bindings.add(made);
    bindings.add({
      ...made,
      id: "w3",
      otherId: "w3'",
      type: "withdrawn",
      device: "my new phone",
      body: { entry: made.id },
    });
    expect(bindings.of(TILE)).toHaveLength(1);
    people.set("me", "mika").set("my new phone", "mika");
    bindings.addUpAnew();
    expect(bindings.of(TILE)).toEqual([]);
  });

  it("that did not see each other both stand", () => {
    const bindings = new Bindings();
    for (const entry of [bound("1.1", TILE), bound("2.1", TILE, [], "other")]) bindings.add(entry);
    expect(bindings.of(TILE)).toHaveLength(2);
  });

  it("are the same in any order of arrival, and a stranger takes nothing back", () => {
    const made = [bound("1.1", TILE), bound("1.1", UNKNOWN, [], "other")];
    const third = bound("2.1", TILE, [at(made, 0).id]);
    const stranger = keptEntry("withdrawn", { entry: third.id }, { device: "other" });
    const entries = [...made, third, stranger];
    const standing = (order: KeptEntry[]) => {
      const bindings = new Bindings();
      for (const entry of order) bindings.add(entry);
      return bindings
        .standing()
        .map(({ id }) => id)
        .sort();
    };
    fc.assert(
      fc.property(fc.shuffledSubarray(entries, { minLength: 4 }), (order) => {
        expect(standing(order)).toEqual([made[1]?.id, third.id].sort());
      }),
    );
  });
});
