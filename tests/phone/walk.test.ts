import { describe, expect, it } from "vitest";
import type { KeptEntry } from "../../static/src/book/entry";
import { at } from "../../static/src/book/must";
import { translator } from "../../static/src/texts";
import en from "../../static/src/texts/en.json";
import { draw, isCurrent, okFor, okForAll } from "../../static/src/walk/checks/answering";
import { cablesOf } from "../../static/src/walk/checks/cables";
import { type Check, readChecksFile } from "../../static/src/walk/checks/checks";
import { placeInWords, spotOf } from "../../static/src/walk/checks/places";
import { greys, pixelBoxOf, pixelsOf } from "../../static/src/walk/checks/test_pictures";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";
import { checkOf, tileAt, wallFile } from "./walls";

const locks = checkOf("A/side/1.1/2.1/locks:2");
const edges = checkOf("A/side/1.1/2.1/edges:clean");
const CHECKS = [locks, edges];

function found(
  check: Check,
  result: string,
  more: Partial<KeptEntry> = {},
  answers: string[] = [],
): KeptEntry {
  const weight = result === "fault" ? "show" : null;
  return keptEntry("found", { plan: "p", checks: [check.id], result, weight, answers }, more);
}

describe("an ok", () => {
  it("answers what was drawn, and a changed screen refuses it", () => {
    const show = new Show(ME);
    const fault = found(locks, "fault");
    show.add([fault]);
    const drawn = draw(show.fold, [locks]);
    expect(okFor("p", locks, drawn, show.fold)).toMatchObject({ checks: [locks.id], answers: [fault.id] });
    expect(isCurrent(show.fold, drawn)).toBe(true);
    show.add([found(locks, "fault", { device: "other" })]);
    expect(isCurrent(show.fold, drawn)).toBe(false);
  });

  it("for a whole stop leaves the faulty check out and answers reopenings alone", () => {
    const show = new Show(ME);
    const swap = keptEntry("swapped", { reopens: [edges.id] });
    show.add([found(locks, "fault"), swap]);
    const body = okForAll("p", CHECKS, draw(show.fold, CHECKS), show.fold, show.me());
    expect(body).toMatchObject({ checks: [edges.id], answers: [swap.id] });
    show.add([found(edges, "ok", {}, [swap.id])]);
    expect(okForAll("p", CHECKS, draw(show.fold, CHECKS), show.fold, show.me())).toBeNull();
  });
});

describe("a show", () => {
  it("offers the newest own live act for taking back", () => {
    const show = new Show(ME);
    const first = found(locks, "ok");
    const second = found(edges, "ok");
    show.add([first, second, found(edges, "fault", { device: "other" })]);
    expect(show.undoable()[0]?.id).toBe(second.id);
    show.add([keptEntry("withdrawn", { entry: second.id })]);
    expect(show.undoable()[0]?.id).toBe(first.id);
  });

  it("lets a sign-off lapse by a later fault, not by a later ok", () => {
    const show = new Show(ME);
    const over = { wall: "A", size: 2, own: [], exceptions: [], statement: "built" };
    const plan = keptEntry(
      "plan_set",
      { wall: "A", replaces: null, title: "", checks_file: "f" },
      { index: 0 },
    );
    show.add([
      plan,
      found(locks, "ok", { index: 1 }),
      keptEntry("signed_off", { ...over, plan: plan.id }, { index: 2 }),
    ]);
    expect(show.signOffs("A")[0]?.lapse).toBeNull();
    show.add([found(locks, "ok")]);
    expect(show.signOffs("A")[0]?.lapse).toBeNull();
    show.add([found(locks, "fault", { device: "other" })]);
    expect(show.signOffs("A")[0]?.lapse).toEqual({ planDiffers: false, worse: [locks.id] });
    expect(show.isOnAir("A")).toBe(true);
    show.add([
      keptEntry("strike_opened", { plan: plan.id, wall: "A", tiles: null, reason: "show_over" }, {}),
    ]);
    expect(show.isOnAir("A")).toBe(false);
  });
});

describe("texts", () => {
  it("say where to stand", () => {
    const t = translator("en");
    expect(placeInWords(t, "side/3.2/4.2")).toBe("Between columns 3 and 4, row 2");
    expect(placeInWords(t, "free/9.3x1x2/right")).toBe("Right edge, column 9, row 3");
    expect(placeInWords(t, "base/b1/2.1")).toBe("Column 2, on its base bar");
  });

  it("are marked in the pseudo-language, and none is empty", () => {
    expect(translator("pseudo")("walk.ok")).toBe("⟦OK⟧");
    expect(Object.values(en).every((text) => text.trim().length > 0)).toBe(true);
  });
});

describe("a tile's cables", () => {
  const tiles = ["1.1", "1.2", "2.2", "2.1"].map((id) => tileAt(id));
  const cables = {
    circuits: [
      { line: "L1", tiles: [0, 1, 2] },
      { line: "L2", tiles: [3] },
    ],
    runs: [[0, 1, 2, 3]],
    backup_ports: [2],
  };
  const file = wallFile({ tiles, cables });

  it("are the tile before it, what hangs behind it, and its ports", () => {
    expect(cablesOf(file, "1.2")).toEqual({
      power: { number: 1, from: "1.1", line: "L1", behind: 1 },
      data: { number: 1, from: "1.1", backup: 2 },
    });
    expect(cablesOf(file, "2.1")).toEqual({
      power: { number: 2, from: null, line: "L2", behind: 0 },
      data: { number: 1, from: "2.2", backup: 2 },
    });
  });

  it("are not known from a file of an older plan, nor of a tile that is not there", () => {
    const nothing = { power: null, data: null };
    expect(cablesOf(wallFile({ tiles }), "1.1")).toEqual(nothing);
    expect(cablesOf(file, "9.9")).toEqual(nothing);
  });
});

describe("test pictures", () => {
  const type = (width: number, height: number) => ({
    features: [],
    modules: { columns: 1, rows: 1 },
    pixels: { width, height },
    limits: {},
  });
  const tiles = [
    { id: "1.1x1x2", column: 1, row: 1, w: 1, h: 2, type: "tall" },
    { id: "2.1", column: 2, row: 1, w: 1, h: 1, type: "small" },
    { id: "2.2", column: 2, row: 2, w: 1, h: 1, type: "small" },
  ];
  const wall = wallFile({ tiles, types: { tall: type(192, 384), small: type(192, 192) } });

  it("are the wall's own pixels, each tile in its place from the top left", () => {
    expect(pixelsOf(wall)).toEqual({ width: 384, height: 384 });
    expect(pixelBoxOf(wall, at(wall.tiles, 1))).toEqual({ x: 192, y: 192, w: 192, h: 192 });
    expect(pixelBoxOf(wall, at(wall.tiles, 0))).toEqual({ x: 0, y: 0, w: 192, h: 384 });
    expect(pixelsOf({ ...wall, types: {} })).toBeNull();
  });

  it("have grey steps from black to white, equally far from each other", () => {
    const steps = greys();
    expect([steps[0], steps.at(-1), steps.length]).toEqual([0, 255, 16]);
    expect(steps.slice(1).every((grey, i) => grey - at(steps, i) === 17)).toBe(true);
  });
});

describe("a frozen checks file", () => {
  it("says once what holds of a kind, and older ones at each check", () => {
    const check = { id: "A/x/locks:2", kind: "locks" };
    const kinds = { locks: { procedure: "lock", structural: true } };
    const read = readChecksFile(JSON.parse(JSON.stringify({ checks: [check], kinds })));
    expect(read.checks).toEqual([{ ...check, procedure: "lock", structural: true }]);
    expect(readChecksFile(JSON.parse(JSON.stringify({ checks: read.checks })))).toEqual({
      checks: read.checks,
      kinds: {},
    });
  });
});

describe("a corner's guard on the map", () => {
  const spot = (corner: string, expected: string) => {
    const checks = [checkOf(`A/corner/1.1/${corner}/guard:${expected}`)];
    const file = wallFile({ rows: 1, columns: 1, tiles: [tileAt("1.1")], checks });
    return spotOf(file, { place: `corner/1.1/${corner}`, column: 1, row: 1, checks });
  };

  it("lies inside its tile where it should be in, and over the corner where it should stand out", () => {
    for (const corner of ["top_left", "top_right", "bottom_left", "bottom_right"]) {
      const [inside, out] = [spot(corner, "in"), spot(corner, "out")];
      const within = ({ x, y, w, h }: typeof inside) => x >= 0 && y >= 0 && x + w <= 1 && y + h <= 1;
      expect([within(inside), within(out)], corner).toEqual([true, false]);
    }
  });
});
