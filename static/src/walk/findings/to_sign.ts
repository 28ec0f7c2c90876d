/** Walls that somebody may sign for by their role: those that are ready, and those that are left. */

import { statementsOf } from "../../book/signoff";
import { comingDown } from "../checks/order";
import type { Show } from "../show/show";
import { standsInTheWay } from "./in_the_way";

/** The first of some walls that is not signed, of those that this role signs for; `ready`: nothing is in the way. */
export function toSign(show: Show, walls: string[], ready: boolean): string | undefined {
  const own = statementsOf(show.membership.role);
  if (own.length === 0) return undefined;
  return walls.find((wall) => {
    if (show.fileOf(wall) === null || isSigned(show, wall, own)) return false;
    return !ready || own.some((statement) => isReady(show, wall, statement));
  });
}

function isSigned(show: Show, wall: string, own: string[]): boolean {
  return show.signOffs(wall).some(({ entry, lapse }) => lapse === null && own.includes(entry.body.statement));
}

function isReady(show: Show, wall: string, statement: string): boolean {
  const file = show.fileOf(wall);
  if (file === null) return false;
  const down = comingDown(show, wall, file);
  return standsInTheWay(file, show.states(wall), show.fold, statement, down).length === 0;
}
