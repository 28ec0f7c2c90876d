/** The frozen checks file, as the server made it (server/seamwalk/domain/frozen.py). */

export interface Check {
  id: string;
  kind: string;
  expect: string;
  tiles: string[];
  procedure: string;
  structural: boolean;
}

export interface Stop {
  place: string;
  column: number;
  row: number;
  /** Positions in `checks`. */
  checks: number[];
}

export interface Walk {
  key: string;
  stops: Stop[];
}

export interface Tile {
  id: string;
  column: number;
  row: number;
  w: number;
  h: number;
  type: string;
}

/** Circuits and data runs by the positions of their tiles, from the feed on. */
export interface Cables {
  circuits: { line: string | null; tiles: number[] }[];
  runs: number[][];
  backup_ports: number[] | null;
}

export interface ChecksFile {
  v: 1;
  wall: string;
  title: string;
  columns: number;
  rows: number;
  bends_deg: number[];
  support: string;
  tiles: Tile[];
  checks: Check[];
  walks: Walk[];
  touches: Record<string, Record<string, number[]>>;
  /** Files of older plans have none. */
  cables?: Cables;
}

/** The checks of a stop. */
export function checksAt(file: ChecksFile, stop: Stop): Check[] {
  return stop.checks.map((index) => file.checks[index] as Check);
}

/** Stops of a walk that stand in the same column as the given one. */
export function columnStops(walk: Walk, stop: Stop): Stop[] {
  return walk.stops.filter((other) => other.column === stop.column);
}
