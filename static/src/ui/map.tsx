/** The wall's map: tiles, the state of every place of a walk, those that are lit. */

import type { RefObject } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { ChecksFile, Walk } from "../walk/checks/checks";
import { type Box, placeInWords } from "../walk/checks/places";
import { worstOf } from "../walk/checks/progress";
import type { Show } from "../walk/show/show";
import { keepSettings, settings, texts } from "./app";
import { useFingers } from "./map_fingers";
import { Numbers, NumbersAtEdge } from "./map_numbers";
import { type Spot, spotsOf, tilesOf } from "./map_shapes";
import {
  boxOfView,
  firstView,
  magnified,
  nearest,
  type Point,
  seenOf,
  TARGET_PX,
  type View,
  whole,
} from "./map_view";
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
  const first = spots.find(({ checks }) => checks.some((id) => lit.has(id)));
  const { view, setView } = useView(file, first?.box ?? null, frame);
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
    setView(magnified(file, view, spot.box, roomOf(frame.current, LARGER_PX + GO_PX)));
  };
  const fingers = useFingers({ extent: file, view, setView, onTap: pick, onUntap: () => setPicked(null) });
  const all = () => {
    setPicked(null);
    setView(whole(file));
  };
  const shape = { "--shape": `${file.columns + 1} / ${file.rows + 1}` };
  return (
    <div class="wall_map" ref={frame} style={shape} {...fingers}>
      {view.scale > 1 && <Larger onWhole={all} />}
      <Drawing {...{ show, file, spots, lit, view }} picked={chosen ?? null} frame={frame} />
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
  const at = lit === null ? "" : `${lit.x}/${lit.y}`;
  useLayoutEffect(() => {
    const begin = () => setView(firstView(file, lit, roomOf(frame.current)));
    begin();
    addEventListener("resize", begin);
    return () => removeEventListener("resize", begin);
  }, [at]);
  return { view, setView };
}

/** What stands above a map that is larger, px. */
const LARGER_PX = 48;
/** What stands below a map on which a spot was picked, px. */
const GO_PX = 72;

/** The room for a drawing in its frame beside so much that stands above and below it, px. */
function roomOf(frame: HTMLElement | null, beside = 0): { w: number; h: number } {
  const { clientWidth: w = 0, clientHeight: h = 0 } = frame ?? {};
  return { w, h: h === 0 ? 0 : Math.max(TARGET_PX, h - beside) };
}

interface DrawingProps {
  show: Show;
  file: ChecksFile;
  spots: Spot[];
  lit: ReadonlySet<string>;
  view: View;
  picked: Spot | null;
  frame: RefObject<HTMLDivElement | null>;
}

/** One path for all places of a state: a wall of thousands of tiles is drawn at every tap. */
function Drawing({ show, file, spots, lit, view, picked, frame }: DrawingProps) {
  const { left, rear } = settings.value;
  const box = boxOfView(file, view);
  const byState = new Map<string, string>();
  for (const { checks, path } of spots) {
    const worst = worstOf(checks.map((id) => show.fold.state(id)));
    const key = worst.weight ?? worst.state;
    byState.set(key, (byState.get(key) ?? "") + path);
  }
  const shining = spots.filter(({ checks }) => checks.some((id) => lit.has(id)));
  return (
    <svg
      class="map"
      viewBox={`${box.x} ${box.y} ${box.w} ${box.h}`}
      preserveAspectRatio={left ? "xMaxYMax" : "xMinYMax"}
      role="img"
      aria-label={texts()("walk.map")}
    >
      <path class="tile" d={tilesOf(file, rear)} />
      {[...byState].map(([state, path]) => (
        <path key={state} class={`spot ${state}`} d={path} />
      ))}
      <path class="spot lit" d={shining.map(({ path }) => path).join("")} />
      {picked && <path class="spot picked" d={picked.path} />}
      {view.scale === 1 ? (
        <Numbers columns={file.columns} rows={file.rows} />
      ) : (
        <NumbersAtEdge
          columns={file.columns}
          rows={file.rows}
          seen={seenOf(box, roomOf(frame.current, LARGER_PX + (picked ? GO_PX : 0)), left)}
        />
      )}
    </svg>
  );
}

/** A box of cells as an SVG rectangle, `gap` units smaller on every side. */
export function scaled({ x, y, w, h }: Box, cell: number, gap = 0) {
  return { x: x * cell + gap, y: y * cell + gap, width: w * cell - 2 * gap, height: h * cell - 2 * gap };
}
