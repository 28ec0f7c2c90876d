/** The wall's map: tiles, the state of every place of a walk, those that are lit. */

import type { RefObject } from "preact";
import { useEffect, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { must } from "../book/must";
import type { ChecksFile, Walk } from "../walk/checks/checks";
import { type Box, placeInWords } from "../walk/checks/places";
import type { Show } from "../walk/show/show";
import { keepSettings, settings, texts } from "./app";
import { useFingers } from "./map_fingers";
import { type Spot, type Spots, spotsOf, tilesOf } from "./map_shapes";
import { type Paths, pathsOf } from "./map_states";
import {
  boxOfView,
  firstView,
  isNear,
  magnified,
  nearest,
  type Point,
  type Size,
  shownIn,
  type View,
  whole,
} from "./map_view";
import { useStateOf } from "./state_of";

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
  const spots = spotsOf(file, walk, settings.value.rear);
  const shining = spotsWith(spots, lit);
  const { view, setView, size } = useView(file, shining[0]?.box ?? null, frame);
  const [first = ""] = lit;
  const [picked, setPicked] = useStateOf<string | null>(first, () => null);
  const chosen = spots.all.find(({ place }) => place === picked);
  const pick = (at: Point) => {
    const near = nearest(
      spots.all.map(({ box }) => box),
      at,
    );
    const spot = near && spots.all[near.index];
    if (!spot) return;
    setPicked(spot.place);
    setView(() => magnified(file, view, spot.box, size));
  };
  const fingers = useFingers({ extent: file, view, setView, onTap: pick, onUntap: () => setPicked(null) });
  const all = () => {
    setPicked(null);
    setView(() => whole(file));
  };
  return (
    <div class="wall_map" ref={frame} style={{ "--shape": `${file.columns + 1} / ${file.rows + 1}` }}>
      <Drawing {...{ show, file, spots, shining, view, size, fingers }} picked={chosen ?? null} />
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

/** The places of some checks, by their ids, in walking order. */
function spotsWith({ of }: Spots, checks: ReadonlySet<string>): Spot[] {
  const found = new Set([...checks].flatMap((check) => of.get(check) ?? []));
  return [...found].sort((a, b) => a.stop - b.stop);
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

/** What is shown of the map, begun anew when something else is lit or when the screen has another size. */
function useView(file: ChecksFile, lit: Box | null, frame: RefObject<HTMLDivElement | null>) {
  const size = useSize(frame);
  const at = lit === null ? "" : `${lit.x}/${lit.y}`;
  const [held, hold] = useState<{ at: string; view: View } | null>(null);
  const viewOf = (now: typeof held) => (now?.at === at ? now.view : firstView(file, lit, size));
  const setView = (change: (view: View) => View) => hold((now) => ({ at, view: change(viewOf(now)) }));
  useEffect(() => {
    const begin = () => hold(null);
    addEventListener("resize", begin);
    return () => removeEventListener("resize", begin);
  }, []);
  return { view: viewOf(held), setView, size };
}

/** The room that the last map had: the next stop's has the same, or it is drawn once more. */
let lastRoom: Size = { w: 0, h: 0 };

/** The room that a frame has, px. */
function useSize(frame: RefObject<HTMLDivElement | null>): Size {
  const [size, setSize] = useState(lastRoom);
  useLayoutEffect(() => {
    const measure = () => {
      const { clientWidth: w = 0, clientHeight: h = 0 } = frame.current ?? {};
      if (lastRoom.w !== w || lastRoom.h !== h) lastRoom = { w, h };
      setSize(lastRoom);
    };
    measure();
    const sizes = new ResizeObserver(measure);
    if (frame.current) sizes.observe(frame.current);
    return () => sizes.disconnect();
  }, []);
  return size;
}

interface DrawingProps {
  show: Show;
  file: ChecksFile;
  spots: Spots;
  shining: Spot[];
  view: View;
  size: Size;
  picked: Spot | null;
  fingers: ReturnType<typeof useFingers>;
}

/** A wall of thousands of tiles is drawn at every tap: only what can be seen is, and only what has changed anew. */
function Drawing({ show, file, spots, shining, view, size, picked, fingers }: DrawingProps) {
  const { x, y, w, h } = boxOfView(file, view);
  const seen = shownIn(file, view, size);
  const paths = pathsOf(show.fold, spots.blocks);
  return (
    <svg
      class="map"
      viewBox={`${x} ${y} ${w} ${h}`}
      preserveAspectRatio={settings.value.left ? "xMaxYMax" : "xMinYMax"}
      role="img"
      aria-label={texts()("walk.map")}
      {...fingers}
    >
      {tilesOf(file, settings.value.rear)
        .filter(({ box }) => isNear(seen, box))
        .map(({ box, shapes }) => (
          <Tiles key={`${box.x}/${box.y}`} shapes={shapes} />
        ))}
      {spots.blocks
        .filter(({ box }) => isNear(seen, box))
        .map((block) => (
          <Places key={`${block.box.x}/${block.box.y}`} paths={must(paths.get(block))} />
        ))}
      <path class="spot lit" d={shining.map(({ path }) => path).join("")} />
      {picked && <path class="spot picked" d={picked.path} />}
      <Numbers columns={file.columns} rows={file.rows} />
    </svg>
  );
}

function Tiles({ shapes }: { shapes: { path: string }[] }) {
  return useMemo(() => <path class="tile" d={shapes.map(({ path }) => path).join("")} />, [shapes]);
}

/** Places side by side, one path for all of a state. */
function Places({ paths }: { paths: Paths }) {
  const drawn = () =>
    [...paths].map(([state, path]) => <path key={state} class={`spot ${state}`} d={path} />);
  return useMemo(() => <>{drawn()}</>, [paths]);
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
