/** Places of checks as words for a person who stands before the wall, and as spots on its map. */

import { groupedCode } from "../../scan/codes";
import { said, type T } from "../../texts";
import type { Check, ChecksFile, Place, Tile } from "./checks";

/** A place in words: `Between columns 3 and 4, row 2`. One that no plan can have is shown as it is written. */
export function placeInWords(t: T, place: string): string {
  const [kind = "", first = "", second = "", part] = place.split("/");
  const [a, b] = [cell(first), cell(second)];
  if (a !== null && b !== null) {
    const row = Math.max(a.row, b.row);
    if (kind === "side") return t("place.side", { left: a.column, right: b.column, row });
    const column = Math.max(a.column, b.column);
    if (kind === "stack") return t("place.stack", { lower: a.row, upper: b.row, column });
  }
  if (b !== null && (kind === "base" || kind === "hang")) return t(`place.${kind}`, { column: b.column });
  if (a !== null) return ofTile(t, kind, a, second, part) ?? place;
  return ofWall(t, kind, first, second) ?? place;
}

/** A place of one tile; null where there is none of that kind. */
function ofTile(t: T, kind: string, at: Cell, where: string, part?: string): string | null {
  switch (kind) {
    case "tile":
    case "clamp":
      return t(`place.${kind}`, { ...at });
    case "free":
      return t("place.free", { edge: said(t, "edge", where), ...at }) + (part ? ` (${part})` : "");
    case "corner":
      return t("place.corner", { corner: said(t, "corner", where), ...at });
    default:
      return null;
  }
}

/** A place that no tile has; null where there is none of that kind. */
function ofWall(t: T, kind: string, name: string, part: string): string | null {
  switch (kind) {
    case "bar":
      return /^[bhf]\d+$/.test(name) ? said(t, "place", `bar_${name[0]}`, { column: name.slice(1) }) : null;
    case "support":
      return t("place.support", { column: name });
    case "feed":
      return t("place.feed");
    case "row":
      return rowInWords(t, name, part);
    case "case":
      return t("place.case", { code: groupedCode(name), n: part });
    case "block":
      return blockInWords(t, name, part);
    case "tiles":
      return t("place.tiles", { n: name });
    case "circuit":
    case "run":
    case "lift":
      return t(`place.${kind}`, { number: name });
    default:
      return null;
  }
}

/** A block of tiles: `Block: columns 1 to 2, rows 1 to 2`. */
function blockInWords(t: T, columns: string, rows: string): string {
  const [left = "", right = ""] = columns.split("-");
  const [low = "", high = ""] = rows.split("-");
  return t("place.block", { left, right, low, high });
}

/** A row, or a run of it: `Row 2, columns 1 to 10`. */
function rowInWords(t: T, row: string, columns: string): string {
  const [first = "", last = ""] = columns.split("-");
  return t(first === last ? "place.row_one" : "place.row", { row, first, last });
}

/** The place of a check, by its id, as it is written. */
export function placeOf(check: string): string {
  return check.split("/").slice(1, -1).join("/");
}

/** The row that a check's place is in, by its id, the upper one of two; null where a place is in no row. */
export function rowOf(check: string): number | null {
  const [, kind = "", first = "", second = ""] = check.split("/");
  if (!IN_A_ROW.includes(kind)) return null;
  const rows = [cell(first), cell(second)].flatMap((at) => at?.row ?? []);
  return rows.length > 0 ? Math.max(...rows) : null;
}

/** The place of a check, by its id, in words. */
export function checkPlaceInWords(t: T, check: string): string {
  return placeInWords(t, placeOf(check)) || check;
}

/** What is looked at, by a check's id, in words; `kind:expect` as it is written where there are none. */
export function checkIdInWords(t: T, check: string): string {
  const last = check.slice(check.lastIndexOf("/") + 1);
  const [kind = "", expect = ""] = last.split(":");
  const words = said(t, "check", kind, { expect: expectInWords(t, kind, expect) });
  return words === kind ? last : words;
}

function expectInWords(t: T, kind: string, expect: string): string {
  if (kind === "joined") return placeInWords(t, `bar/${expect}`);
  return kind === "guard" ? said(t, "expect", expect) : expect;
}

/** A check in full, by its id: `Between columns 3 and 4, row 2 · 2 locks shut`. One of no plan stays as it is written. */
export function inFull(t: T, check: string): string {
  const [place, looked] = [checkPlaceInWords(t, check), checkIdInWords(t, check)];
  const isWritten = place === placeOf(check) || place === check || check.endsWith(`/${looked}`);
  return isWritten ? check : `${place} · ${looked}`;
}

const IN_A_ROW = ["side", "stack", "base", "hang", "tile", "clamp", "free", "corner"];

export interface Cell {
  column: number;
  row: number;
}

/** Where a tile is, by its id; null for what is no tile. */
export function cell(tile: string): Cell | null {
  const found = /^(\d+)\.(\d+)(x\d+x\d+)?$/.exec(tile);
  return found && { column: Number(found[1]), row: Number(found[2]) };
}

/** A rectangle by its upper left corner and its size; its maker says in which unit. */
export interface Box {
  x: number;
  y: number;
  w: number;
  h: number;
}

/** Where a place is on the map, in cells, y from the top: a thin bar for an edge, a box for a tile. */
export function spotOf(file: ChecksFile, at: Place): Box {
  const [kind = "", first = "", second = ""] = at.place.split("/");
  const top = file.rows - at.row;
  const left = at.column - 1;
  const tile = file.tiles.find((item) => item.id === first || item.id === second);
  const tileBox = tile ? boxOf(file, tile) : { x: left, y: top, w: 1, h: 1 };
  switch (kind) {
    case "side":
      return { x: left + 0.86, y: top + 0.1, w: 0.28, h: 0.8 };
    case "stack":
      return { x: left + 0.1, y: top - 0.14, w: 0.8, h: 0.28 };
    case "base":
    case "bar":
    case "support":
      return { x: left + 0.1, y: first.startsWith("h") ? -0.14 : file.rows - 0.14, w: 0.8, h: 0.28 };
    case "hang":
      return { x: left + 0.1, y: -0.14, w: 0.8, h: 0.28 };
    case "free":
      return freeSpot(second, left, top);
    case "tile":
      return tileBox;
    case "corner":
      return cornerSpot(second, tileBox, at.checks.some(isIn));
    default:
      return { x: left + 0.35, y: top + 0.35, w: 0.3, h: 0.3 };
  }
}

function isIn({ expect }: Check): boolean {
  return expect === "in";
}

const CORNER = 0.26;

/** A corner's guard: outside the tile where it should stand out, inside where it should be in. */
function cornerSpot(corner: string, { x, y, w, h }: Box, inside: boolean): Box {
  const out = inside ? -0.06 : CORNER / 2;
  return {
    x: corner.endsWith("left") ? x - out : x + w - CORNER + out,
    y: corner.startsWith("top") ? y - out : y + h - CORNER + out,
    w: CORNER,
    h: CORNER,
  };
}

function freeSpot(edge: string, left: number, top: number): Box {
  if (edge === "left" || edge === "right") {
    return { x: left + (edge === "left" ? -0.14 : 0.86), y: top + 0.1, w: 0.28, h: 0.8 };
  }
  return { x: left + 0.1, y: top + (edge === "top" ? -0.14 : 0.86), w: 0.8, h: 0.28 };
}

/** The ids of a wall's tiles in the order in which they are walked. */
export function tileOrder(file: ChecksFile): string[] {
  const walk = file.walks.find(({ stops }) => stops[0]?.place.startsWith("tile/"));
  const stops = walk?.stops.filter(({ place }) => place.startsWith("tile/")) ?? [];
  return stops.length > 0
    ? stops.map(({ place }) => place.slice("tile/".length))
    : file.tiles.map(({ id }) => id);
}

/** Where a tile is on the map, in cells, y from the top. */
export function boxOf(file: ChecksFile, tile: Tile): Box {
  return { x: tile.column - 1, y: file.rows - tile.row - tile.h + 1, w: tile.w, h: tile.h };
}
