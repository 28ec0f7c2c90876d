/** The wall's map: tiles, the state of every place of a walk, those that are lit. */

import { type CheckState, rank } from "../book/findings";
import { whyInWords } from "../screens/checks/check";
import { type ChecksFile, placesAt, type Walk } from "../walk/checks/checks";
import { type Box, boxOf, placeInWords, spotOf } from "../walk/checks/places";
import type { Show } from "../walk/show/show";
import { texts } from "./app";

const CELL = 40;

/** The map of a walk; a tap on a stop picks it. */
export function WallMap({
  show,
  file,
  walk,
  lit,
  onPick,
}: {
  show: Show;
  file: ChecksFile;
  walk: Walk;
  /** The checks whose places are lit, by their ids. */
  lit: ReadonlySet<string>;
  onPick: (index: number) => void;
}) {
  const t = texts();
  const size = `${-0.4 * CELL} ${-0.4 * CELL} ${(file.columns + 0.8) * CELL} ${(file.rows + 0.8) * CELL}`;
  return (
    // biome-ignore lint/a11y/useSemanticElements: an SVG map has no element of its own.
    <svg class="map" viewBox={size} role="group" aria-label={t("walk.map")}>
      {file.tiles.map((tile) => (
        <rect key={tile.id} class="tile" {...scaled(boxOf(file, tile), CELL, 1)} rx="3" />
      ))}
      {walk.stops.flatMap((stop, index) =>
        placesAt(file, stop).map((place) => {
          const worst = worstOf(place.checks.map(({ id }) => ({ id, state: show.fold.state(id) })));
          return (
            // biome-ignore lint/a11y/noStaticElementInteractions: a shortcut for the eye; Next and Before reach the same.
            <rect
              key={place.place}
              class={`spot ${worst.state.weight ?? worst.state.state}${lit.has(worst.id) ? " lit" : ""}`}
              {...scaled(spotOf(file, place), CELL)}
              rx="4"
              onClick={() => onPick(index)}
            >
              <title>{`${placeInWords(t, place.place)}. ${whyInWords(show, worst.id)}`}</title>
            </rect>
          );
        }),
      )}
    </svg>
  );
}

/** A box of cells as an SVG rectangle, `gap` units smaller on every side. */
export function scaled({ x, y, w, h }: Box, cell: number, gap = 0) {
  return { x: x * cell + gap, y: y * cell + gap, width: w * cell - 2 * gap, height: h * cell - 2 * gap };
}

/** What shows for several checks: an open one keeps a place from looking done. */
function worstOf(checks: CheckNow[]): CheckNow {
  const weigh = ({ state }: CheckNow) => (state.state === "ok" ? -1 : rank(state));
  return checks.reduce((worst, check) => (weigh(check) > weigh(worst) ? check : worst));
}

interface CheckNow {
  id: string;
  state: CheckState;
}
