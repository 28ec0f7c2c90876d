/** What one look takes in: a tile with its joints, a row, the tiles of a case; an older file's stop is one place. */

import { describe, expect, it } from "vitest";
import { at } from "../../static/src/book/must";
import { Stock } from "../../static/src/scan/stock";
import { translator } from "../../static/src/texts";
import { checksAt, joined, placesAt, type Stop } from "../../static/src/walk/checks/checks";
import { placeInWords } from "../../static/src/walk/checks/places";
import {
  caseSize,
  isOfRun,
  isOneLook,
  LONGEST_RUN,
  TILE,
  together,
} from "../../static/src/walk/checks/together";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";
import { checkOf, tileAt, wallFile } from "./walls";

const IDS = Array.from({ length: 14 }, (_, i) => `${i + 1}.1`);
const checks = IDS.map((id) => checkOf(`A/tile/${id}/condition:sound`, { tiles: [id] }));
const stops: Stop[] = IDS.map((id, i) => ({ place: `tile/${id}`, column: i + 1, row: 1, checks: [i] }));
const walk = { key: "load_in", stops };
const file = wallFile({ tiles: IDS.map((id) => tileAt(id)), checks, walks: [walk] });

function look(show: Show, index: number, run: number): string[] {
  return placesAt(file, together({ show, wall: "A", file, walk, index }, run, TILE)).map(
    ({ place }) => place,
  );
}

function bound(tile: string, item: string) {
  return keptEntry("tile_bound", { wall: "A", tile, item, replaces: [] });
}

const ok = (tile: string) =>
  keptEntry("found", { plan: "p", checks: [`A/tile/${tile}/condition:sound`], result: "ok", answers: [] });

describe("a stop", () => {
  it("says whose its checks are, place by place in their order", () => {
    const ids = ["A/stack/1.1/1.2/locks:2", "A/side/1.2/2.2/edges:clean", "A/side/1.2/2.2/locks:2"];
    const places = [
      { place: "stack/1.1/1.2", column: 1, row: 1, count: 1 },
      { place: "side/1.2/2.2", column: 1, row: 2, count: 2 },
    ];
    const stop = { place: "tile/1.2", column: 1, row: 2, checks: [0, 1, 2], places };
    const wall = wallFile({ checks: ids.map((id) => checkOf(id)) });
    const told = placesAt(wall, stop).map(({ place, checks }) => [place, checks.map(({ id }) => id)]);
    expect(told).toEqual([
      ["stack/1.1/1.2", ids.slice(0, 1)],
      ["side/1.2/2.2", ids.slice(1)],
    ]);
  });

  it("of an older file is one place", () => {
    const [first] = stops;
    expect(placesAt(file, at(stops, 0))).toEqual([
      { place: "tile/1.1", column: 1, row: 1, checks: checks.slice(0, 1) },
    ]);
    expect(first).not.toHaveProperty("places");
  });

  it("may be several as one, with every check once", () => {
    const all = joined("tiles/3", stops.slice(2, 5));
    expect([all.place, all.column]).toEqual(["tiles/3", 3]);
    expect(checksAt(file, all)).toEqual(checks.slice(2, 5));
    expect(placesAt(file, all).map(({ place }) => place)).toEqual(["tile/3.1", "tile/4.1", "tile/5.1"]);
  });
});

describe("load-in", () => {
  it("goes by a short run where no case is known, past what is done, never longer than anybody keeps apart", () => {
    const show = new Show(ME);
    show.add([ok("2.1")]);
    expect(look(show, 0, 1)).toEqual(["tile/1.1"]);
    expect(look(show, 0, 3)).toEqual(["tile/1.1", "tile/3.1", "tile/4.1"]);
    expect(look(show, 0, 99)).toHaveLength(LONGEST_RUN);
    expect(look(show, 13, 3), "it ends with the walk").toEqual(["tile/14.1"]);
  });

  it("does not take a tile with a fault into a run: that one is answered by itself", () => {
    const show = new Show(ME);
    const body = { plan: "p", checks: ["A/tile/2.1/condition:sound"], result: "fault", weight: "show" };
    show.add([keptEntry("found", { ...body, answers: [] })]);
    expect(look(show, 0, 2)).toEqual(["tile/1.1", "tile/3.1"]);
  });

  it("goes by case where labels say which, wherever in the wall its tiles stand", () => {
    const show = new Show(ME);
    const items = ["HQT00001M", "HQT00002J", "HQT00003G"];
    const listed = items.map((code, i): [string, string, string, null, "here"] => [
      code,
      "a",
      i === 2 ? "HQC000028" : "HQC00001A",
      null,
      "here",
    ]);
    show.stock = new Stock({ v: 1, items: listed, labels: {}, revoked: {} });
    show.add([bound("1.1", at(items, 0)), bound("5.1", at(items, 1)), bound("2.1", at(items, 2))]);
    expect(look(show, 4, 3)).toEqual(["tile/5.1", "tile/1.1"]);
    expect(look(show, 1, 3), "alone in its case").toEqual(["tile/2.1"]);
    expect(look(show, 2, 3), "a run leaves them to their cases").toEqual([
      "tile/3.1",
      "tile/4.1",
      "tile/6.1",
    ]);
    expect(isOfRun({ show, wall: "A", file, walk, index: 4 })).toBe(false);
    expect(isOfRun({ show, wall: "A", file, walk, index: 2 })).toBe(true);
    const seen = { stage: "load_in", items: [items[1]], case: "HQC000028", replaces: [] };
    show.add([keptEntry("item_seen", seen)]);
    expect(look(show, 4, 3), "a sighting says more than the list").toEqual(["tile/5.1", "tile/2.1"]);
  });

  it("takes a case's size from the file, and goes tile by tile where an older one does not say it", () => {
    const type = {
      features: [],
      modules: { columns: 1, rows: 1 },
      pixels: { width: 1, height: 1 },
      limits: {},
    };
    expect(caseSize(file, at(stops, 0))).toBe(1);
    expect(caseSize({ ...file, types: { a: { ...type, tiles_per_case: 6 } } }, at(stops, 0))).toBe(6);
  });

  it("is the only walk that does", () => {
    const show = new Show(ME);
    const picture = { key: "picture", stops };
    expect(together({ show, wall: "A", file, walk: picture, index: 0 }, 8, { columns: 2, rows: 1 })).toBe(
      stops[0],
    );
  });
});

describe("blocks that were joined beforehand", () => {
  const ids = [1, 2, 3].flatMap((row) => [1, 2, 3].map((column) => `${column}.${row}`));
  const joints = ids.map((id) => checkOf(`A/tile/${id}/locks:2`, { tiles: [id] }));
  const bar = { place: "bar/b1", column: 1, row: 1, checks: [9] };
  const tileStops = ids.map((id, i) => {
    const [column = 0, row = 0] = id.split(".").map(Number);
    return { place: `tile/${id}`, column, row, checks: [i] };
  });
  const build = { key: "build", stops: [...tileStops, bar] };
  const wall = wallFile({
    tiles: ids.map((id) => tileAt(id)),
    checks: [...joints, checkOf("A/bar/b1/level:ok")],
    walks: [build],
  });
  const block = (show: Show, index: number, columns: number, rows: number) =>
    together({ show, wall: "A", file: wall, walk: build, index }, 1, { columns, rows });

  it("are one look with every check of their tiles, wherever one begins", () => {
    const show = new Show(ME);
    for (const index of [0, 1, 3, 4]) {
      const stop = block(show, index, 2, 2);
      expect(stop.place).toBe("block/1-2/1-2");
      expect(new Set(checksAt(wall, stop))).toEqual(new Set([0, 1, 3, 4].map((i) => joints[i])));
    }
    expect(placeInWords(translator("en"), block(show, 0, 2, 2).place)).toBe(
      "Block: columns 1 to 2, rows 1 to 2",
    );
  });

  it("end with the wall, and leave out what was looked at", () => {
    const show = new Show(ME);
    expect(block(show, 8, 2, 2)).toBe(tileStops[8]);
    expect(block(show, 2, 2, 2).place).toBe("block/3-3/1-2");
    show.add([keptEntry("found", { plan: "p", checks: ["A/tile/2.1/locks:2"], result: "ok", answers: [] })]);
    expect(checksAt(wall, block(show, 0, 2, 1))).toEqual([joints[0]]);
  });

  it("are tiles alone, and never more than one look takes in", () => {
    expect(block(new Show(ME), 9, 2, 2)).toBe(bar);
    expect(isOneLook({ columns: 5, rows: 2 })).toBe(true);
    expect(isOneLook({ columns: 11, rows: 1 })).toBe(false);
    expect(isOneLook({ columns: 0, rows: 4 })).toBe(false);
  });
});

describe("words", () => {
  it("name a row, a run and a case", () => {
    const t = translator("en");
    expect(placeInWords(t, "row/2/1-10")).toBe("Row 2, columns 1 to 10");
    expect(placeInWords(t, "row/2/3-3")).toBe("Row 2, column 3");
    expect(placeInWords(t, "tiles/6")).toBe("The next 6 tiles");
    expect(placeInWords(t, "case/HQC00001A/6")).toBe("Case HQ-C-00001-A: 6 tiles");
  });
});
