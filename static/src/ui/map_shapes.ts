/** The shapes of a wall's map, in cells, from the front and from behind: thousands of them, so each is made once. */

import { type ChecksFile, placesAt, type Walk } from "../walk/checks/checks";
import { type Box, boxOf, spotOf } from "../walk/checks/places";
import { fromBehind } from "./map_view";

/** A box with its path. */
interface Shape {
  box: Box;
  path: string;
}

/** A place of a walk on its map. */
export interface Spot extends Shape {
  /** The stop that it is of, by its position. */
  stop: number;
  place: string;
  checks: string[];
}

/** Shapes that lie near each other: those of a block that is out of sight are not drawn. */
export interface Block<S> {
  shapes: S[];
  /** Around all of them. */
  box: Box;
}

/** The places of a walk, in walking order; by the checks that are looked at there; and in blocks. */
export interface Spots {
  all: Spot[];
  of: ReadonlyMap<string, Spot[]>;
  blocks: Block<Spot>[];
}

/** Something as it looks from the front, and from behind. */
type Sides<T> = [front: T, rear: T];

const GAP = 0.02;
/** A block's width and height, in cells. */
const BLOCK = 8;
const spotsKept = new WeakMap<Walk, Sides<Spots>>();
const tilesKept = new WeakMap<ChecksFile, Sides<Block<Shape>[]>>();

export function spotsOf(file: ChecksFile, walk: Walk, rear: boolean): Spots {
  return sideOf(rear, spotsKept, walk, () => {
    const front = walk.stops.flatMap((stop, index) =>
      placesAt(file, stop).map((place) => {
        const box = spotOf(file, place);
        const checks = place.checks.map(({ id }) => id);
        return { stop: index, place: place.place, checks, box, path: pathOf(box) };
      }),
    );
    return [spotsIn(front), spotsIn(front.map((spot) => turned(file, spot)))];
  });
}

function spotsIn(all: Spot[]): Spots {
  const of = new Map<string, Spot[]>();
  for (const spot of all) for (const check of spot.checks) of.set(check, [...(of.get(check) ?? []), spot]);
  return { all, of, blocks: inBlocks(all) };
}

function inBlocks<S extends Shape>(shapes: S[]): Block<S>[] {
  const blocks = new Map<string, Block<S>>();
  for (const shape of shapes) {
    const { x, y } = shape.box;
    const key = `${Math.floor(x / BLOCK)}/${Math.floor(y / BLOCK)}`;
    const block = blocks.get(key);
    if (block === undefined) blocks.set(key, { shapes: [shape], box: shape.box });
    else {
      block.shapes.push(shape);
      block.box = around(block.box, shape.box);
    }
  }
  return [...blocks.values()];
}

function around(a: Box, b: Box): Box {
  const [x, y] = [Math.min(a.x, b.x), Math.min(a.y, b.y)];
  return { x, y, w: Math.max(a.x + a.w, b.x + b.w) - x, h: Math.max(a.y + a.h, b.y + b.h) - y };
}

function turned(file: ChecksFile, spot: Spot): Spot {
  const box = fromBehind(file, spot.box);
  return { ...spot, box, path: pathOf(box) };
}

/** The tiles of a wall. */
export function tilesOf(file: ChecksFile, rear: boolean): Block<Shape>[] {
  return sideOf(rear, tilesKept, file, () => {
    const boxes = file.tiles.map((tile) => smaller(boxOf(file, tile)));
    const shapes = (all: Box[]) => inBlocks(all.map((box) => ({ box, path: pathOf(box) })));
    return [shapes(boxes), shapes(boxes.map((box) => fromBehind(file, box)))];
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
