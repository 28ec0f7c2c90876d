/**
 * What is honestly one look. As it comes out of a case: the tiles of one case where labels say which, else a short run of
 * tiles in the order in which they go on. As it goes on: a block of tiles that were joined beforehand. The stops of the
 * walk stay as they were frozen; only what is on the screen, and what its OK answers, is more than one of them.
 */

import { at } from "../../book/must";
import type { Show } from "../show/show";
import { type ChecksFile, joined, type Stop, type Walk } from "./checks";
import { asksFor } from "./progress";

/** The walks that go by case, and by block. */
const BY_CASE = "load_in";
const BY_BLOCK = "build";
/** As many tiles as anybody keeps apart in one look; common practice, no source. */
export const LONGEST_RUN = 10;

interface AtStop {
  show: Show;
  wall: string;
  file: ChecksFile;
  walk: Walk;
  index: number;
}

/** How many tiles were joined before they came to the wall, side by side and one on the other; 1 x 1 is a tile. */
export interface Block {
  columns: number;
  rows: number;
}
export const TILE: Block = { columns: 1, rows: 1 };

/** The stop, with those that are looked at together with it; `run` is how many tiles a run has. */
export function together(here: AtStop, run: number, block: Block): Stop {
  if (here.walk.key === BY_CASE) return ofCase(here, run);
  return isBuilt(here) ? ofBlock(here, block) : at(here.walk.stops, here.index);
}

/** Whether a stop is a tile that goes on, and so may be part of a block. */
export function isBuilt({ walk, index }: AtStop): boolean {
  return walk.key === BY_BLOCK && at(walk.stops, index).place.startsWith("tile/");
}

/** Whether blocks of this size are one look. */
export function isOneLook({ columns, rows }: Block): boolean {
  return Math.min(columns, rows) >= 1 && columns * rows <= LONGEST_RUN;
}

/** The tiles of a block that are still to be looked at; blocks lie side by side from column 1, row 1. */
function ofBlock({ show, file, walk, index }: AtStop, block: Block): Stop {
  const stop = at(walk.stops, index);
  const [across, up] = [
    Math.floor((stop.column - 1) / block.columns),
    Math.floor((stop.row - 1) / block.rows),
  ];
  const isIn = ({ place, column, row }: Stop) =>
    place.startsWith("tile/") &&
    Math.floor((column - 1) / block.columns) === across &&
    Math.floor((row - 1) / block.rows) === up;
  const others = walk.stops.filter(
    (other) => other !== stop && isIn(other) && asksFor(show.fold, file, other, show.me()) === "look",
  );
  if (others.length === 0) return stop;
  const columns = [stop, ...others].map(({ column }) => column);
  const rows = [stop, ...others].map(({ row }) => row);
  const span = (values: number[]) => `${Math.min(...values)}-${Math.max(...values)}`;
  return joined(`block/${span(columns)}/${span(rows)}`, [stop, ...others]);
}

function ofCase({ show, wall, file, walk, index }: AtStop, run: number): Stop {
  const stop = at(walk.stops, index);
  const box = caseOf(show, wall, stop);
  const isOpen = (other: Stop) =>
    asksFor(show.fold, file, other, show.me()) === "look" && caseOf(show, wall, other) === box;
  const later = [...walk.stops.slice(index + 1), ...(box === null ? [] : walk.stops.slice(0, index))];
  const most = box === null ? Math.min(run, LONGEST_RUN) : LONGEST_RUN;
  const stops = [stop];
  for (const other of later) {
    if (stops.length >= most) break;
    if (isOpen(other)) stops.push(other);
  }
  if (stops.length === 1) return stop;
  return joined(box === null ? `tiles/${stops.length}` : `case/${box}/${stops.length}`, stops);
}

/** Whether a stop is one of a run whose length somebody may choose: at load-in, where no case is known. */
export function isOfRun({ show, wall, walk, index }: AtStop): boolean {
  return walk.key === BY_CASE && caseOf(show, wall, at(walk.stops, index)) === null;
}

/** How many tiles the wall's cases hold, as far as its file says; else 1: tile by tile. */
export function caseSize(file: ChecksFile, stop: Stop): number {
  const tile = file.tiles.find(({ id }) => stop.place === `tile/${id}`);
  return file.types?.[tile?.type ?? ""]?.tiles_per_case ?? 1;
}

/** The case that the tile of a stop came out of, as labels and sightings say it; null where they do not. */
function caseOf(show: Show, wall: string, { place }: Stop): string | null {
  const bound = show.bindings.at(wall, place.slice("tile/".length));
  const found = show.stock?.find(bound.length === 1 ? (bound[0]?.name ?? "") : "");
  if (found?.is !== "known") return null;
  const { code, inCase } = found.thing;
  const seen = [...show.cases.casesOf("load_in", code), ...show.cases.casesOf("prep", code)];
  return seen.find((box) => box !== "") ?? inCase;
}
