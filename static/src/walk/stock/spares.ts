/** Which spare fits best: never one that came out of a wall or was seen damaged. */

import type { Stock, Thing } from "../../scan/stock";
import type { Show } from "../show/show";
import { statuses } from "./warehouse";

/** Codes of parts that went in, and so are spare no more. */
function used(show: Show): Set<string> {
  return new Set(show.records.all("swapped").flatMap(({ body }) => (body.in ? [body.in] : [])));
}

/** A thing that fits, and whether it is of the batch that it would stand among. */
export interface Spare {
  thing: Thing;
  sameBatch: boolean;
}

const KIND_LETTER: Record<string, string> = { module: "M", electronics_unit: "E", tile: "T" };

/**
 * Spares of a kind and tile type that are at this show, stand in no wall, were not used and are not in quarantine:
 * those of the same batch first, in the order of their codes.
 */
export function matchingSpares(
  show: Show,
  stock: Stock,
  kind: string,
  tileType: string,
  batch: string | null,
): Spare[] {
  const gone = used(show);
  const status = statuses(show);
  return stock
    .all()
    .filter(
      ({ code, at, tileType: type }) => code[2] === KIND_LETTER[kind] && type === tileType && at === "here",
    )
    .filter(
      ({ code }) =>
        !gone.has(code) && status(code).status === "in_stock" && show.bindings.of(code).length === 0,
    )
    .map((thing) => ({ thing, sameBatch: batch !== null && thing.batch === batch }))
    .sort((a, b) => Number(b.sameBatch) - Number(a.sameBatch) || a.thing.code.localeCompare(b.thing.code));
}
