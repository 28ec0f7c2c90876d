/** The wall's map: tiles, the state of every place of a walk, those that are lit. */

import type { RefObject } from "preact";
import { useEffect, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { must } from "../book/must";
import type { ChecksFile, Walk } from "../walk/checks/checks";
import { type Box, placeInWords } from "../walk/checks/places";
import type { Show } from "../walk/show/show";
import { keepSettings, settings, texts } from "./app";
import { useFingers } from "./map_fingers";
import { Numbers, NumbersAtEdge } from "./map_numbers";
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
  seenOf,
  shownIn,
  TARGET_PX,
  type View,
  whole,
} from "./map_view";
import { useStateOf } from "./state_of";
import { SteadyButton } from "./steady";

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
    setView(() => magnified(file, view, spot.box, roomOf(size, LARGER_PX + GO_PX)));
  };
  const fingers = useFingers({ extent: file, view, setView, onTap: pick, onUntap: () => setPicked(null) });
  const all = () => {
    setPicked(null);
    setView(() => whole(file));
  };
  const shape = { "--shape": `${file.columns + 1} / ${file.rows + 1}` };
  return (
    <div class="wall_map" ref={frame} style={shape} {...fingers}>
      {view.scale > 1 && <Larger onWhole={all} />}
      <Drawing {...{ show, file, spots, shining, view, size }} picked={chosen ?? null} />
      {chosen && (
        <SteadyButton of={chosen.place} class="map_go" test="map-go" onClick={() => onPick(chosen.stop)}>
          {t("map.go", { place: placeInWords(t, chosen.place) })}
        </SteadyButton>
      )}
    </div>
  );
}

/** Above a map that is not whole, so that it covers none of it: from where it is seen, and the way back. */
function Larger({ onWhole }: { onWhole: () => void }) {
  const t = texts();
  return (
    <div class="map_larger">
      <span>{t(settings.value.rear ? "map.rear" : "map.front")}</span>
      <SteadyButton of="whole" test="map-whole" onClick={onWhole}>
        {t("map.whole")}
      </SteadyButton>
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

/** What stands above a map that is larger, px. */
const LARGER_PX = 48;
/** What stands below a map on which a spot was picked, px. */
const GO_PX = 72;

/** The room for a drawing in its frame beside so much that stands above and below it, px. */
function roomOf({ w, h }: Size, beside: number): Size {
  return { w, h: h === 0 ? 0 : Math.max(TARGET_PX, h - beside) };
}

interface DrawingProps {
  show: Show;
  file: ChecksFile;
  spots: Spots;
  shining: Spot[];
  view: View;
  size: Size;
  picked: Spot | null;
}

/** A wall of thousands of tiles is drawn at every tap: only what can be seen is, and only what has changed anew. */
function Drawing({ show, file, spots, shining, view, size, picked }: DrawingProps) {
  const { left, rear } = settings.value;
  const box = boxOfView(file, view);
  const seen = shownIn(file, view, size);
  const paths = pathsOf(show.fold, spots.blocks);
  return (
    <svg
      class="map"
      viewBox={`${box.x} ${box.y} ${box.w} ${box.h}`}
      preserveAspectRatio={left ? "xMaxYMax" : "xMinYMax"}
      role="img"
      aria-label={texts()("walk.map")}
    >
      {tilesOf(file, rear)
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
      {view.scale === 1 ? (
        <Numbers columns={file.columns} rows={file.rows} />
      ) : (
        <NumbersAtEdge
          columns={file.columns}
          rows={file.rows}
          seen={seenOf(box, roomOf(size, LARGER_PX + (picked ? GO_PX : 0)), left)}
        />
      )}
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

/** A box of cells as an SVG rectangle, `gap` units smaller on every side. */
export function scaled({ x, y, w, h }: Box, cell: number, gap = 0) {
  return { x: x * cell + gap, y: y * cell + gap, width: w * cell - 2 * gap, height: h * cell - 2 * gap };
}
