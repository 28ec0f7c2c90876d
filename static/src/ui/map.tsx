/** The wall's map: tiles, the state of every place of a walk, those that are lit. */

import type { RefObject } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { ChecksFile, Walk } from "../walk/checks/checks";
import { type Box, placeInWords } from "../walk/checks/places";
import { worstOf } from "../walk/checks/progress";
import type { Show } from "../walk/show/show";
import { keepSettings, settings, texts } from "./app";
import { useFingers } from "./map_fingers";
import { type Spot, spotsOf, tilesOf } from "./map_shapes";
import { boxOfView, firstView, magnified, nearest, type Point, type View, whole } from "./map_view";

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
      viewBox={`${x} ${y} ${w} ${h}`}
      preserveAspectRatio={settings.value.left ? "xMaxYMax" : "xMinYMax"}
      role="img"
      aria-label={texts()("walk.map")}
      {...fingers}
    >
      <path class="tile" d={tilesOf(file, settings.value.rear)} />
      {[...byState].map(([state, path]) => (
        <path key={state} class={`spot ${state}`} d={path} />
      ))}
      <path class="spot lit" d={shining.map(({ path }) => path).join("")} />
      {picked && <path class="spot picked" d={picked.path} />}
      <Numbers columns={file.columns} rows={file.rows} />
    </svg>
  );
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
