/** The part of a map that is shown: pure, in cells, y from the top; `scale` 1 shows the whole map. */

import type { Box } from "../walk/checks/places";

/** The middle of what is shown, and how many times larger than whole. */
export interface View {
  x: number;
  y: number;
  scale: number;
}

/** A map's size in cells, with the margin around it that its numbers need. */
export interface Extent {
  columns: number;
  rows: number;
}

/** A frame's size, px. */
export interface Size {
  w: number;
  h: number;
}

export interface Point {
  x: number;
  y: number;
}

const MARGIN = 0.6;
const LARGEST_SCALE = 40;
/** What a thumb in a glove hits, px. */
export const TARGET_PX = 64;
/** A lit place in cells smaller than this is looked for, not seen, px. */
const SMALLEST_CELL_PX = 16;

export function whole({ columns, rows }: Extent): View {
  return { x: columns / 2, y: rows / 2, scale: 1 };
}

/** The shown part of the map as a rectangle in cells. */
export function boxOfView({ columns, rows }: Extent, { x, y, scale }: View): Box {
  const w = (columns + 2 * MARGIN) / scale;
  const h = (rows + 2 * MARGIN) / scale;
  return { x: x - w / 2, y: y - h / 2, w, h };
}

/** What is seen of a map in cells: its box, and what else fits into so many px beside it, in the corner it is drawn to. */
export function seenOf(box: Box, size: Size, left: boolean): Box {
  const cell = Math.min(size.w / box.w, size.h / box.h);
  if (!(cell > 0)) return box;
  const [w, h] = [size.w / cell, size.h / cell];
  return { x: left ? box.x + box.w - w : box.x, y: box.y + box.h - h, w, h };
}

/** A column or a row, counted from 1, and the middle of what is seen of it on its axis. */
export interface Numbered {
  number: number;
  middle: number;
}

/** The columns, or rows, of `count` of which at least so much lies between two points of their axis, in cells. */
export function numbered(count: number, from: number, to: number, least: number): Numbered[] {
  return Array.from({ length: count }, (_, cell) => {
    const [start, end] = [Math.max(cell, from), Math.min(cell + 1, to)];
    return { number: cell + 1, middle: (start + end) / 2, seen: end - start };
  }).filter(({ seen }) => seen >= least);
}

/**
 * What is on the screen at most, in cells: a frame of another shape than the map shows more on one of its sides. Nothing
 * while its size is not known.
 */
export function shownIn(extent: Extent, view: View, size: Size): Box {
  const { x, y, w, h } = boxOfView(extent, view);
  const px = cellPx(extent, view, size);
  if (px === 0) return { x, y, w: Number.NEGATIVE_INFINITY, h };
  const [across, up] = [size.w / px - w, size.h / px - h];
  return { x: x - across, y: y - up, w: w + 2 * across, h: h + 2 * up };
}

/** Whether something is in a rectangle or ends less than a cell beside it, as far as its line may reach. */
export function isNear(shown: Box, { x, y, w, h }: Box): boolean {
  const across = x + w > shown.x - 1 && x < shown.x + shown.w + 1;
  return across && y + h > shown.y - 1 && y < shown.y + shown.h + 1;
}

/** A cell's size on the screen, where the map is drawn into so many px. */
export function cellPx(extent: Extent, { scale }: View, size: Size): number {
  const { w, h } = boxOfView(extent, { x: 0, y: 0, scale: 1 });
  return Math.min(size.w / w, size.h / h) * scale;
}

/** The view moved by so many cells; its middle stays on the wall. */
export function moved({ columns, rows }: Extent, { x, y, scale }: View, by: Point): View {
  if (scale === 1) return whole({ columns, rows });
  const held = (value: number, most: number) => Math.min(most, Math.max(0, value));
  return { x: held(x + by.x, columns), y: held(y + by.y, rows), scale };
}

/** The view that many times larger, what is at a point staying there. */
export function zoomed(extent: Extent, view: View, factor: number, { x, y }: Point): View {
  const scale = Math.min(LARGEST_SCALE, Math.max(1, view.scale * factor));
  const left = view.scale / scale;
  return moved(extent, { ...view, scale }, { x: (x - view.x) * (1 - left), y: (y - view.y) * (1 - left) });
}

/** How much of the room a spot takes at most. */
const MOST_OF_ROOM = 0.9;

/** The view in which a spot is as large as what a thumb hits, as far as all of it is seen; the same where it is already. */
export function magnified(extent: Extent, view: View, spot: Box, size: Size): View {
  const px = Math.min(spot.w, spot.h) * cellPx(extent, view, size);
  if (px >= TARGET_PX || size.w === 0) return view;
  const most =
    (MOST_OF_ROOM * Math.min(size.w / spot.w, size.h / spot.h)) / cellPx(extent, whole(extent), size);
  const scale = Math.max(view.scale, Math.min(LARGEST_SCALE, most, (view.scale * TARGET_PX) / px));
  return { x: spot.x + spot.w / 2, y: spot.y + spot.h / 2, scale };
}

/** What is shown first: the whole wall, or of one too large for that the part around what is lit. */
export function firstView(extent: Extent, lit: Box | null, size: Size): View {
  const all = whole(extent);
  const px = cellPx(extent, all, size);
  if (lit === null || px === 0 || px >= SMALLEST_CELL_PX) return all;
  const scale = Math.min(LARGEST_SCALE, SMALLEST_CELL_PX / px);
  return { x: lit.x + lit.w / 2, y: lit.y + lit.h / 2, scale };
}

/** The position of the box nearest to a point, and how far away it is, in cells; null for none. */
export function nearest(boxes: Box[], { x, y }: Point): { index: number; away: number } | null {
  let best: { index: number; away: number } | null = null;
  boxes.forEach((box, index) => {
    const dx = Math.max(box.x - x, 0, x - box.x - box.w);
    const dy = Math.max(box.y - y, 0, y - box.y - box.h);
    const away = Math.hypot(dx, dy);
    if (best === null || away < best.away || (away === best.away && isSmaller(box, boxes[best.index])))
      best = { index, away };
  });
  return best;
}

function isSmaller(box: Box, other: Box | undefined): boolean {
  return other !== undefined && box.w * box.h < other.w * other.h;
}

/** The same box as it is seen from behind. */
export function fromBehind({ columns }: Extent, { x, ...box }: Box): Box {
  return { ...box, x: columns - x - box.w };
}
