/** The wall's map: tiles, the state of every place of a walk, those that are lit. */

import type { RefObject } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import { type ChecksFile, placesAt, type Walk } from "../walk/checks/checks";
import { type Box, boxOf, placeInWords, spotOf } from "../walk/checks/places";
import { worstOf } from "../walk/checks/progress";
import type { Show } from "../walk/show/show";
import { keepSettings, settings, texts } from "./app";
import { useFingers } from "./map_fingers";
import {
  boxOfView,
  firstView,
  fromBehind,
  magnified,
  nearest,
  type Point,
  type View,
  whole,
} from "./map_view";

/** A place of a walk on its map. */
interface Spot {
  /** The stop that it is of, by its position. */
  stop: number;
  place: string;
  checks: string[];
  box: Box;
}

export interface WallMapProps {
  show: Show;
  file: ChecksFile;
  walk: Walk;
  /** The checks whose places are lit, by their ids. */
  lit: ReadonlySet<string>;
  onPick: (stop: number) => void;
}

/**
 * The map of a walk. Two fingers or a double tap make it larger, a drag moves it. A tap picks the nearest place, which
 * is shown as large as a thumb and by its name before it is gone to.
 */
export function WallMap({ show, file, walk, lit, onPick }: WallMapProps) {
  const t = texts();
  const frame = useRef<HTMLDivElement>(null);
  const spots = seenFrom(file, spotsOf(file, walk));
  const first = spots.find(({ checks }) => checks.some((id) => lit.has(id)));
  const { view, setView, size } = useView(file, first?.box ?? null, frame);
  const [picked, setPicked] = useState<string | null>(null);
  const chosen = spots.find(({ place }) => place === picked);
  const pick = (at: Point) => {
    const near = nearest(
      spots.map(({ box }) => box),
      at,
    );
    const spot = near && spots[near.index];
    if (!spot) return;
    setPicked(spot.place);
    setView(magnified(file, view, spot.box, size()));
  };
  const fingers = useFingers({ extent: file, view, setView, onTap: pick, onUntap: () => setPicked(null) });
  const all = () => {
    setPicked(null);
    setView(whole(file));
  };
  return (
    <div class="wall_map" ref={frame} style={{ "--shape": `${file.columns + 1} / ${file.rows + 1}` }}>
      <Drawing {...{ show, file, spots, lit, view, fingers }} picked={chosen ?? null} />
      {view.scale > 1 && (
        <button type="button" class="map_whole" data-test="map-whole" onClick={all}>
          {t("map.whole")}
        </button>
      )}
      {chosen && (
        <button type="button" class="map_go" data-test="map-go" onClick={() => onPick(chosen.stop)}>
          {t("map.go", { place: placeInWords(t, chosen.place) })}
        </button>
      )}
    </div>
  );
}

/** From where the map is seen; a tap turns it around. */
export function SideButton() {
  const t = texts();
  const { rear } = settings.value;
  return (
    <button type="button" class="quiet" data-test="map-side" onClick={() => keepSettings({ rear: !rear })}>
      {t(rear ? "map.to_front" : "map.to_rear")}
    </button>
  );
}

/** What is shown of the map, begun anew when something else is lit or when it has another room. */
function useView(file: ChecksFile, lit: Box | null, frame: RefObject<HTMLDivElement | null>) {
  const [view, setView] = useState<View>(whole(file));
  const size = () => ({ w: frame.current?.clientWidth ?? 0, h: frame.current?.clientHeight ?? 0 });
  const at = lit === null ? "" : `${lit.x}/${lit.y}`;
  useLayoutEffect(() => {
    const begin = () => setView(firstView(file, lit, size()));
    begin();
    addEventListener("resize", begin);
    return () => removeEventListener("resize", begin);
  }, [at]);
  return { view, setView, size };
}

/** Where the places of each walk are; asked for at every tap, and the same while a file is. */
const spotsKept = new WeakMap<Walk, Spot[]>();

function spotsOf(file: ChecksFile, walk: Walk): Spot[] {
  const kept = spotsKept.get(walk);
  if (kept !== undefined) return kept;
  const made = walk.stops.flatMap((stop, index) =>
    placesAt(file, stop).map((place) => ({
      stop: index,
      place: place.place,
      checks: place.checks.map(({ id }) => id),
      box: spotOf(file, place),
    })),
  );
  spotsKept.set(walk, made);
  return made;
}

function seenFrom(file: ChecksFile, spots: Spot[]): Spot[] {
  if (!settings.value.rear) return spots;
  return spots.map((spot) => ({ ...spot, box: fromBehind(file, spot.box) }));
}

interface DrawingProps {
  show: Show;
  file: ChecksFile;
  spots: Spot[];
  lit: ReadonlySet<string>;
  view: View;
  picked: Spot | null;
  fingers: ReturnType<typeof useFingers>;
}

/** One path for all places of a state: a wall of thousands of tiles is drawn at every tap. */
function Drawing({ show, file, spots, lit, view, picked, fingers }: DrawingProps) {
  const { x, y, w, h } = boxOfView(file, view);
  const byState = new Map<string, Box[]>();
  for (const { checks, box } of spots) {
    const worst = worstOf(checks.map((id) => show.fold.state(id)));
    const key = worst.weight ?? worst.state;
    const boxes = byState.get(key);
    if (boxes === undefined) byState.set(key, [box]);
    else boxes.push(box);
  }
  const shining = spots.filter(({ checks }) => checks.some((id) => lit.has(id)));
  return (
    <svg
      class="map"
      viewBox={`${x} ${y} ${w} ${h}`}
      preserveAspectRatio={settings.value.left ? "xMaxYMax" : "xMinYMax"}
      role="img"
      aria-label={texts()("walk.map")}
      {...fingers}
    >
      <path class="tile" d={tilesOf(file)} />
      {[...byState].map(([state, boxes]) => (
        <path key={state} class={`spot ${state}`} d={pathOf(boxes)} />
      ))}
      <path class="spot lit" d={pathOf(shining.map(({ box }) => box))} />
      {picked && <path class="spot picked" d={pathOf([picked.box])} />}
      <Numbers columns={file.columns} rows={file.rows} />
    </svg>
  );
}

function tilesOf(file: ChecksFile): string {
  const boxes = file.tiles.map((tile) => boxOf(file, tile));
  const gap = 0.02;
  const seen = settings.value.rear ? boxes.map((box) => fromBehind(file, box)) : boxes;
  return pathOf(seen.map(({ x, y, w, h }) => ({ x: x + gap, y: y + gap, w: w - 2 * gap, h: h - 2 * gap })));
}

function pathOf(boxes: Box[]): string {
  return boxes.map(({ x, y, w, h }) => `M${n(x)} ${n(y)}h${n(w)}v${n(h)}h${n(-w)}z`).join("");
}

function n(value: number): string {
  return String(Math.round(value * 1000) / 1000);
}

/** As many numbers as can be read, columns from the audience's left and rows from the floor; and from where it is seen. */
const MOST_NUMBERS = 12;

function Numbers({ columns, rows }: { columns: number; rows: number }) {
  const step = Math.ceil(Math.max(columns, rows) / MOST_NUMBERS);
  const size = 0.32 * step;
  const counted = (most: number) =>
    Array.from({ length: most }, (_, i) => i + 1).filter((i) => i % step === 0);
  const across = (column: number) => (settings.value.rear ? columns - column : column - 1) + 0.5;
  return (
    <g class="numbers" font-size={size}>
      <text x={columns / 2} y={-0.22}>
        {texts()(settings.value.rear ? "map.rear" : "map.front")}
      </text>
      {counted(columns).map((column) => (
        <text key={`c${column}`} x={across(column)} y={rows + 0.5}>
          {column}
        </text>
      ))}
      {counted(rows).map((row) => (
        <text key={`r${row}`} x={-0.35} y={rows - row + 0.5 + size / 3}>
          {row}
        </text>
      ))}
    </g>
  );
}

/** A box of cells as an SVG rectangle, `gap` units smaller on every side. */
export function scaled({ x, y, w, h }: Box, cell: number, gap = 0) {
  return { x: x * cell + gap, y: y * cell + gap, width: w * cell - 2 * gap, height: h * cell - 2 * gap };
}
