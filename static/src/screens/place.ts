/** Where a screen is: at a wall, at one of its tiles, on one of its walks, at a stop of it. */

import type { ChecksFile, Walk } from "../walk/checks/checks";
import type { Show } from "../walk/show/show";

export interface AtWall {
  show: Show;
  wall: string;
  file: ChecksFile;
}

export interface AtTile extends AtWall {
  /** A tile's id, or what an address had in its place. */
  tile: string;
}

export interface OnWalk extends AtWall {
  walk: Walk;
}

export interface AtStop extends OnWalk {
  /** The stop's position in the walk. */
  index: number;
}
