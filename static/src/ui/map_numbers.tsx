/** The numbers of a map's columns, from the audience's left, and of its rows, from the floor. */

import type { Box } from "../walk/checks/places";
import { settings, texts } from "./app";
import { type Extent, type Numbered, numbered } from "./map_view";

/** As many numbers as can be read. */
const MOST_NUMBERS = 12;

/** Around the whole wall, and from where it is seen. */
export function Numbers({ columns, rows }: Extent) {
  const { rear } = settings.value;
  const step = stepOf(Math.max(columns, rows));
  const size = 0.32 * step;
  return (
    <g class="numbers" font-size={size}>
      <text x={columns / 2} y={-0.22}>
        {texts()(rear ? "map.rear" : "map.front")}
      </text>
      {every(step, numbered(columns, 0, columns, 0)).map(({ number, middle }) => (
        <text key={`c${number}`} x={rear ? columns - middle : middle} y={rows + 0.5}>
          {number}
        </text>
      ))}
      {every(step, numbered(rows, 0, rows, 0)).map(({ number, middle }) => (
        <text key={`r${number}`} x={-0.35} y={rows - middle + size / 3}>
          {number}
        </text>
      ))}
    </g>
  );
}

/** Of what is seen of a larger wall: along its upper edge, and down the side that no thumb lies on. */
export function NumbersAtEdge({ columns, rows, seen: { x, y, w, h } }: Extent & { seen: Box }) {
  const { left, rear } = settings.value;
  const size = 0.07 * Math.min(w, h);
  const across = rear
    ? numbered(columns, columns - x - w, columns - x, 2 * size)
    : numbered(columns, x, x + w, 2 * size);
  // rows begin below the numbers of the columns
  const up = numbered(rows, rows - y - h, rows - y - 1.3 * size, 1.2 * size);
  const step = stepOf(Math.max(across.length, up.length));
  return (
    <g class="numbers at_edge" font-size={size}>
      {every(step, across).map(({ number, middle }) => (
        <text key={`c${number}`} x={rear ? columns - middle : middle} y={y + size}>
          {number}
        </text>
      ))}
      {every(step, up).map(({ number, middle }) => (
        <text key={`r${number}`} x={left ? x + w - size : x + size} y={rows - middle + size / 3}>
          {number}
        </text>
      ))}
    </g>
  );
}

function stepOf(count: number): number {
  return Math.ceil(count / MOST_NUMBERS);
}

function every(step: number, all: Numbered[]): Numbered[] {
  return all.filter(({ number }) => number % step === 0);
}
