/** The frozen file of a show's prep (server/seamwalk/store/stock/prep.py). */
export interface PrepFile {
  v: 1;
  cases: PrepCase[];
  /** Case codes in the order of loading. */
  truck: string[];
  picks: { kind: string; of: string; count: number }[];
}

/** A case that goes to columns of a wall; `first` is its place in the order of the build, from 0 over all walls. */
export interface PrepCase {
  case: string;
  wall: string;
  tile_type: string;
  batch: string;
  tiles: number;
  columns: number[];
  first: number;
  mass_kg: number | null;
  people: number | null;
}
