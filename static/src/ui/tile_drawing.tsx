/** A tile's rear and front to tap: corners, edges, face areas, connectors, locks. Sides are the audience's. */

import { said } from "../texts";
import type { Box } from "../walk/checks/places";
import parts from "../walk/stock/parts.json";
import { texts } from "./app";

/** What is seen of a tile from one side. */
export const SIDES = parts.sides;
export type Side = keyof typeof SIDES;
const SIZE = 330;
const CORNER = 62;
const EDGE = 56;
/** Of what lies between the corners of the rear, three by three. */
const CELL = Math.floor((SIZE - 2 * CORNER) / 3);
/** The least that a finger is given, px. */
const TARGET_PX = 48;

/** A part's place on the drawing, in units of which a side has SIZE. */
interface Area extends Box {
  part: string;
}

/** The areas of one side; the rear is mirrored, as it looks from behind. */
export function areasOf(side: Side, columns: number, rows: number): Area[] {
  const far = SIZE - CORNER;
  const long = SIZE - 2 * CORNER;
  const areas: Area[] = [
    { part: "corner:top_left", x: 0, y: 0, w: CORNER, h: CORNER },
    { part: "corner:top_right", x: far, y: 0, w: CORNER, h: CORNER },
    { part: "corner:bottom_left", x: 0, y: far, w: CORNER, h: CORNER },
    { part: "corner:bottom_right", x: far, y: far, w: CORNER, h: CORNER },
    { part: "edge:top", x: CORNER, y: 0, w: long, h: EDGE },
    { part: "edge:bottom", x: CORNER, y: SIZE - EDGE, w: long, h: EDGE },
    { part: "edge:left", x: 0, y: CORNER, w: EDGE, h: long },
    { part: "edge:right", x: SIZE - EDGE, y: CORNER, w: EDGE, h: long },
    ...(side === "front" ? faces(columns, rows) : behind()),
  ];
  return side === "front" ? areas : areas.map((area) => ({ ...area, x: SIZE - area.x - area.w }));
}

function faces(columns: number, rows: number): Area[] {
  const w = (SIZE - 2 * CORNER) / columns;
  const h = (SIZE - 2 * CORNER) / rows;
  return Array.from({ length: columns * rows }, (_, i) => {
    const [column, row] = [i % columns, Math.floor(i / columns)];
    return { part: `face:${column + 1}.${rows - row}`, x: CORNER + column * w, y: CORNER + row * h, w, h };
  });
}

function behind(): Area[] {
  const cell = (part: string, across: number, down: number): Area => ({
    part,
    x: CORNER + across * CELL,
    y: CORNER + down * CELL,
    w: CELL,
    h: CELL,
  });
  return [
    cell("lock:top", 1, 0),
    cell("lock:bottom", 1, 2),
    cell("lock:left", 0, 1),
    cell("lock:right", 2, 1),
    cell("connector:power", 0, 2),
    cell("connector:data", 2, 2),
  ];
}

/** How wide a side is drawn at least, px, so that its smallest area is a finger's target. */
export function leastWidthOf(areas: Area[]): number {
  return Math.ceil((SIZE * TARGET_PX) / Math.min(...areas.map(({ w, h }) => Math.min(w, h))));
}

/** One side; `marked` are parts with damage. Every area is a button with its name. */
export function TileSide({
  side,
  columns,
  rows,
  marked,
  onPick,
}: {
  side: Side;
  columns: number;
  rows: number;
  marked: Set<string>;
  onPick: (part: string) => void;
}) {
  const t = texts();
  const areas = areasOf(side, columns, rows);
  return (
    <figure class="tile_side" data-test={`side-${side}`}>
      <figcaption>{t(`look.${side}`)}</figcaption>
      <div style={{ minWidth: `${leastWidthOf(areas)}px` }}>
        {areas.map(({ part, x, y, w, h }) => (
          <button
            type="button"
            key={part}
            class={`area ${part.split(":")[0]}`}
            style={{
              left: `${(x / SIZE) * 100}%`,
              top: `${(y / SIZE) * 100}%`,
              width: `${(w / SIZE) * 100}%`,
              height: `${(h / SIZE) * 100}%`,
            }}
            aria-pressed={marked.has(part)}
            aria-label={partInWords(part)}
            data-part={part}
            onClick={() => onPick(part)}
          >
            {marked.has(part) ? "!" : inside(part)}
          </button>
        ))}
      </div>
    </figure>
  );
}

/** What an area says: connectors and locks their kind, face areas their module's place; the rest has a shape. */
function inside(part: string): string {
  const [group = "", which = ""] = part.split(":");
  if (group === "face") return which;
  return group === "connector" ? said(texts(), "which", which) : "";
}

/** A part in words: `corner, top left`. */
export function partInWords(part: string): string {
  const t = texts();
  const [group = "", which = ""] = part.split(":");
  if (which === "") return said(t, "part", group);
  if (group === "face") return t("part.face_at", { at: which });
  return t("part.of", { part: said(t, "part", group), which: said(t, "which", which) });
}
