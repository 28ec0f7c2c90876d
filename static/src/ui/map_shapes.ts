/** The shapes of a wall's map, in cells, from the front and from behind: thousands of them, so each is made once. */

import { type ChecksFile, placesAt, type Walk } from "../walk/checks/checks";
import { type Box, boxOf, spotOf } from "../walk/checks/places";
import { fromBehind } from "./map_view";

/** A place of a walk on its map. */
export interface Spot {
  /** The stop that it is of, by its position. */
  stop: number;
  place: string;
  checks: string[];
  box: Box;
  /** Its box as a path. */
  path: string;
}

/** Something as it looks from the front, and from behind. */
type Sides<T> = [front: T, rear: T];

const GAP = 0.02;
const spotsKept = new WeakMap<Walk, Sides<Spot[]>>();
const tilesKept = new WeakMap<ChecksFile, Sides<string>>();

/** The places of a walk, in walking order. */
export function spotsOf(file: ChecksFile, walk: Walk, rear: boolean): Spot[] {
  return sideOf(rear, spotsKept, walk, () => {
    const front = walk.stops.flatMap((stop, index) =>
      placesAt(file, stop).map((place) => {
        const box = spotOf(file, place);
        const checks = place.checks.map(({ id }) => id);
        return { stop: index, place: place.place, checks, box, path: pathOf(box) };
      }),
    );
    return [front, front.map((spot) => turned(file, spot))];
  });
}

function turned(file: ChecksFile, spot: Spot): Spot {
  const box = fromBehind(file, spot.box);
  return { ...spot, box, path: pathOf(box) };
}

/** All tiles of a wall as one path. */
export function tilesOf(file: ChecksFile, rear: boolean): string {
  return sideOf(rear, tilesKept, file, () => {
    const boxes = file.tiles.map((tile) => smaller(boxOf(file, tile)));
    const path = (all: Box[]) => all.map(pathOf).join("");
    return [path(boxes), path(boxes.map((box) => fromBehind(file, box)))];
  });
}

function sideOf<K extends object, T>(
  rear: boolean,
  kept: WeakMap<K, Sides<T>>,
  of: K,
  make: () => Sides<T>,
): T {
  const sides = kept.get(of) ?? make();
  kept.set(of, sides);
  return sides[rear ? 1 : 0];
}

function smaller({ x, y, w, h }: Box): Box {
  return { x: x + GAP, y: y + GAP, w: w - 2 * GAP, h: h - 2 * GAP };
}

function pathOf({ x, y, w, h }: Box): string {
  return `M${n(x)} ${n(y)}h${n(w)}v${n(h)}h${n(-w)}z`;
}

function n(value: number): number {
  return Math.round(value * 1000) / 1000;
}
