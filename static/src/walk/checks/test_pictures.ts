/** Test pictures of a wall, in its own pixels. */

import type { ChecksFile, Tile } from "./checks";
import { type Box, boxOf } from "./places";

/** Full colours, grey steps from black to white, and every tile's outline with its place. */
export const PICTURES = ["red", "green", "blue", "white", "greys", "grid"] as const;
export type Picture = (typeof PICTURES)[number];

const FULL: Partial<Record<Picture, string>> = { red: "#f00", green: "#0f0", blue: "#00f", white: "#fff" };
/** How many greys there are, black and white among them. */
export const GREY_STEPS = 16;

/** The wall's picture in pixels; null for files of older plans, which do not know their tiles' pixels. */
export function pixelsOf(file: ChecksFile): { width: number; height: number } | null {
  const boxes = file.tiles.flatMap((tile) => pixelBoxOf(file, tile) ?? []);
  if (boxes.length < file.tiles.length) return null;
  return {
    width: Math.max(...boxes.map(({ x, w }) => x + w)),
    height: Math.max(...boxes.map(({ y, h }) => y + h)),
  };
}

/**
 * A tile's pixels in the wall's picture, from the top left; cells are as many pixels as its type says. Null where its
 * type's pixels are not known.
 */
export function pixelBoxOf(file: ChecksFile, tile: Tile): Box | null {
  const pixels = file.types?.[tile.type]?.pixels;
  if (pixels === undefined) return null;
  const cells = boxOf(file, tile);
  const [cellW, cellH] = [pixels.width / tile.w, pixels.height / tile.h];
  return {
    x: Math.round(cells.x * cellW),
    y: Math.round(cells.y * cellH),
    w: pixels.width,
    h: pixels.height,
  };
}

/** The grey of each step from dark to bright, as one byte. */
export function greys(): number[] {
  return Array.from({ length: GREY_STEPS }, (_, step) => Math.round((step * 255) / (GREY_STEPS - 1)));
}

/** Paint a picture over a whole canvas, which is as large as the wall in pixels. */
export function paint(pen: CanvasRenderingContext2D, file: ChecksFile, picture: Picture): void {
  const { width, height } = pen.canvas;
  pen.fillStyle = FULL[picture] ?? "#000";
  pen.fillRect(0, 0, width, height);
  if (picture === "greys") paintGreys(pen, width, height);
  if (picture === "grid") for (const tile of file.tiles) paintTile(pen, file, tile);
}

function paintGreys(pen: CanvasRenderingContext2D, width: number, height: number): void {
  for (const [step, grey] of greys().entries()) {
    const from = Math.round((step * width) / GREY_STEPS);
    pen.fillStyle = `rgb(${grey} ${grey} ${grey})`;
    pen.fillRect(from, 0, Math.round(((step + 1) * width) / GREY_STEPS) - from, height);
  }
}

/** A line just inside each edge of the tile, its two diagonals, and its place to read. */
function paintTile(pen: CanvasRenderingContext2D, file: ChecksFile, tile: Tile): void {
  const box = pixelBoxOf(file, tile);
  if (box === null) return;
  pen.strokeStyle = "#fff";
  pen.lineWidth = 1;
  pen.strokeRect(box.x + 0.5, box.y + 0.5, box.w - 1, box.h - 1);
  pen.beginPath();
  pen.moveTo(box.x, box.y);
  pen.lineTo(box.x + box.w, box.y + box.h);
  pen.moveTo(box.x + box.w, box.y);
  pen.lineTo(box.x, box.y + box.h);
  pen.strokeStyle = "#555";
  pen.stroke();
  pen.fillStyle = "#fff";
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.font = `${Math.floor(Math.min(box.w, box.h) / 4)}px sans-serif`;
  pen.fillText(tile.id.split("x")[0] ?? tile.id, box.x + box.w / 2, box.y + box.h / 2);
}
