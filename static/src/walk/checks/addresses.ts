/** Where on the phone a check is looked at. */

import type { Show } from "../show/show";
import type { ChecksFile } from "./checks";

/** The walk and the stop of each check of a file, by its id. */
const stopsOf = new WeakMap<ChecksFile, Map<string, { walk: string; stop: number }>>();

function stopsIn(file: ChecksFile) {
  const kept = stopsOf.get(file);
  if (kept !== undefined) return kept;
  const made = new Map<string, { walk: string; stop: number }>();
  for (const walk of file.walks)
    walk.stops.forEach((stop, index) => {
      for (const position of stop.checks) {
        const id = file.checks[position]?.id;
        if (id !== undefined && !made.has(id)) made.set(id, { walk: walk.key, stop: index });
      }
    });
  stopsOf.set(file, made);
  return made;
}

/** The address of a stop. */
export function stopAddress(book: string, wall: string, walk: string, stop: number): string {
  return `#walk/${book}/${wall}/${walk}/${stop}`;
}

/** The address of the stop at which a check is looked at; null while its wall's file is not here or knows it no more. */
export function checkAddress(show: Show, check: string): string | null {
  const wall = check.slice(0, check.indexOf("/"));
  const file = show.fileOf(wall);
  const found = file && stopsIn(file).get(check);
  return found ? stopAddress(show.membership.book, wall, found.walk, found.stop) : null;
}
