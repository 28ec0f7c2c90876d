/** How a pass along a wall is laid out: its places in lines, each named by what the line does not say. */

import { said, type T } from "../../texts";
import { type ChecksFile, type Place, placesAt, type Walk } from "./checks";
import { cell, placeInWords } from "./places";

/** A place of a pass, by the stop that it is of; `label` is a number, or its words where no line says the rest. */
export interface PassPlace extends Place {
  stop: number;
  label: string;
}

/** Places that lie in one line and at which the same is looked at, in the order in which they are walked. */
export interface PassLine {
  key: string;
  words: string;
  places: PassPlace[];
}

/** The lines of a walk: tiles by row, free edges by side, corners by side and row. */
export function passLines(t: T, file: ChecksFile, walk: Walk): PassLine[] {
  const lines = new Map<string, PassLine>();
  walk.stops.forEach((stop, index) => {
    for (const place of placesAt(file, stop)) {
      const { words, label } = lineOf(t, place.place);
      const key = [words, ...place.checks.map(({ kind, expect }) => `${kind}:${expect}`)].join(" ");
      const line = lines.get(key) ?? { key, words, places: [] };
      lines.set(key, line);
      line.places.push({ ...place, stop: index, label });
    }
  });
  return [...lines.values()];
}

/** The line that a place is in, and its name there. */
function lineOf(t: T, place: string): { words: string; label: string } {
  const [kind = "", tile = "", where = "", part] = place.split("/");
  const at = cell(tile);
  if (at === null) return { words: "", label: placeInWords(t, place) };
  const { column, row } = at;
  const within = part === undefined ? "" : ` (${part})`;
  if (kind === "tile") return { words: t("pass.row", { row }), label: String(column) };
  if (kind === "corner") {
    return { words: t("pass.corners", { corner: said(t, "corner", where), row }), label: String(column) };
  }
  if (kind !== "free") return { words: "", label: placeInWords(t, place) };
  const edge = said(t, "edge", where);
  return where === "left" || where === "right"
    ? { words: t("pass.upright", { edge, column }), label: `${row}${within}` }
    : { words: t("pass.level", { edge, row }), label: `${column}${within}` };
}
