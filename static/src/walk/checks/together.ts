/**
 * What is looked at as it comes out of a case: the tiles of one case where labels say which, else a short run of
 * tiles in the order in which they go on. The stops of the walk stay as they were frozen; only what is on the screen,
 * and what its OK answers, is more than one of them.
 */

import { at } from "../../book/must";
import type { Show } from "../show/show";
import { type ChecksFile, joined, type Stop, type Walk } from "./checks";
import { asksFor } from "./progress";

/** The walk that goes by case. */
const BY_CASE = "load_in";
/** As many tiles as anybody keeps apart in one look; common practice, no source. */
export const LONGEST_RUN = 10;

interface AtStop {
  show: Show;
  wall: string;
  file: ChecksFile;
  walk: Walk;
  index: number;
}

/** The stop, with those that are looked at together with it; `run` is how many tiles a run has. */
export function together({ show, wall, file, walk, index }: AtStop, run: number): Stop {
  const stop = at(walk.stops, index);
  if (walk.key !== BY_CASE) return stop;
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
