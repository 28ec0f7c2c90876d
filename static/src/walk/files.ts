/** Made from the server's models by tests/vectors/make_shapes.py; not to be edited. */

export type StockItem = [
  code: string,
  tile_type: string | null,
  home_case: string | null,
  batch: string | null,
  at: "here" | "away" | "home",
  in_case?: string | null,
  status?: "in_stock" | "quarantined" | "in_repair" | "at_maker" | "awaits_look" | "scrapped",
  worked_by?: string,
];

/**
 * Everything a phone needs of a plan.
 *
 * `bends_deg` are the angles between neighbouring columns. `touches` says for each part, and where it sits,
 * which checks changing it reopens; `turns` which checks are to be ok before which, `rests` which a fault
 * opens again; version 1 has neither. `limits` are what readings of the whole wall are held to, None where
 * nobody has said. `warnings` are what the planning named.
 */
export interface ChecksFile {
  v: 1 | 2;
  wall: string;
  title: string;
  columns: number;
  rows: number;
  bends_deg: number[];
  support: string;
  tiles: FrozenTile[];
  checks: FrozenCheck[];
  kinds?: {
    [k: string]: FrozenKind;
  };
  walks: FrozenWalk[];
  touches: {
    [k: string]: {
      [k: string]: number[];
    };
  };
  turns?: FrozenOrder[];
  rests?: FrozenOrder[];
  cables?: FrozenCables;
  types?: {
    [k: string]: FrozenTileType;
  };
  limits?: {
    [k: string]: number | null;
  };
  wind?: FrozenWindLimit[];
  warnings?: string[];
}
/**
 * A tile: its lower left cell, its size in cells, and its type's key.
 */
export interface FrozenTile {
  id: string;
  column: number;
  row: number;
  w: number;
  h: number;
  type: string;
}
/**
 * A check; files that lack `kinds` say at each what holds of its kind.
 */
export interface FrozenCheck {
  id: string;
  kind: string;
  expect: string;
  tiles: string[];
  procedure?: string;
  structural?: boolean;
}
/**
 * What holds of every check of a kind; version 1 knows no more than its procedure and `structural`.
 *
 * `duty` is whose word lets a crew go on after a stop, `statement` the sign-off that covers the kind beside
 * those over the whole wall, `always` true where it is always its turn. `elsewhere` has reasons of faults
 * that are none of this kind, with the kind that they are of.
 */
export interface FrozenKind {
  procedure: string;
  structural: boolean;
  duty?: string;
  statement?: string | null;
  always?: boolean;
  elsewhere?: {
    [k: string]: string;
  };
}
/**
 * Stops in the order in which they are walked.
 */
export interface FrozenWalk {
  key: string;
  stops: FrozenStop[];
}
/**
 * Where to stand, and the positions of the checks to answer there.
 *
 * `place` names the stop: the place of its checks, or a tile or a row. `places` says whose the checks are,
 * one place after the other in their order; where it is left out, all are of `place`.
 */
export interface FrozenStop {
  place: string;
  column: number;
  row: number;
  checks: number[];
  places?: FrozenPlace[];
}
/**
 * A place that a stop takes in, and how many of its checks are of it.
 */
export interface FrozenPlace {
  place: string;
  column: number;
  row: number;
  count: number;
}
/**
 * Checks by their positions: those `after` rest on, or wait for, all `before`.
 */
export interface FrozenOrder {
  before: number[];
  after: number[];
}
/**
 * Circuits, data runs from the port on, and for each run the port that backs it up.
 */
export interface FrozenCables {
  circuits: FrozenCircuit[];
  runs: number[][];
  backup_ports: number[] | null;
}
/**
 * A circuit: the line it is on, None where the supply has one, and its tiles from the feed on.
 */
export interface FrozenCircuit {
  line: string | null;
  tiles: number[];
}
/**
 * What procedures ask of a tile type; `limits` are the maker's, in the unit that each name ends in.
 *
 * `tiles_per_case` is how many come out of a case at load-in.
 */
export interface FrozenTileType {
  features: string[];
  modules: FrozenModules;
  pixels: FrozenPixels;
  limits: {
    [k: string]: number | null;
  };
  tiles_per_case?: number;
}
/**
 * How a tile is divided into modules.
 */
export interface FrozenModules {
  columns: number;
  rows: number;
}
/**
 * A tile's pixels.
 */
export interface FrozenPixels {
  width: number;
  height: number;
}
/**
 * A gust of the competent person's wind plan, and what is done from there on.
 */
export interface FrozenWindLimit {
  gust_m_s: number;
  action: string;
}
/**
 * What may be so at a step, and where that leads: on to a step, to the end, or to a fault.
 *
 * `both`: the fault is one of the joint and of both its tiles. `unread`: this is the answer where nothing
 * could be read off, so that nobody has to guess.
 */
export interface Choice {
  when: string;
  goto: string | null;
  fault: string | null;
  both: boolean;
  unread: boolean;
}
/**
 * The frozen file of an edition: procedures by key, texts by language and key.
 */
export interface EditionFile {
  v: 1;
  procedures: {
    [k: string]: Procedure;
  };
  texts: {
    [k: string]: {
      [k: string]: string;
    };
  };
}
/**
 * One procedure; its texts stand under its key.
 *
 * It is either behind check kinds (`applies_to`), or an act of its own at a case, a tile or a wall; one that
 * swaps a part names it.
 */
export interface Procedure {
  key: string;
  applies_to: string[];
  at: ("case" | "tile" | "wall") | null;
  swaps: ("module" | "electronics_unit" | "tile" | "power_link" | "outlet" | "data_link" | "ballast") | null;
  cautions: string[];
  steps: Step[];
  reasons: string[];
}
/**
 * One step; its text is `<procedure>.steps.<key>`. It is shown where the tile has what it needs.
 *
 * Without choices it leads to `then`, or to the step below it; the last one to the end. `call`: it says to
 * call somebody, so the contacts of the show stand there.
 */
export interface Step {
  key: string;
  needs: string[];
  unless: string[];
  input: Input | null;
  text: boolean;
  photo: boolean;
  call: boolean;
  choices: Choice[];
  then: string | null;
}
/**
 * A reading that a step asks for: what can be true at all, and which limit of the wall it is held to.
 *
 * `over` and `under` are the reasons of the fault that a reading beyond that limit is; `over_to` is the
 * step that one over it leads to instead. With `each` it is asked once for each of them, in their order:
 * names and limits end in the number then, as in `point_kg_2`.
 */
export interface Input {
  name: string;
  unit:
    | "mm"
    | "kg"
    | "deg"
    | "deg_c"
    | "percent"
    | "count"
    | "min"
    | "v"
    | "ms"
    | "ohm"
    | "n_m"
    | "m_s"
    | "cd_m2";
  min: number;
  max: number;
  limit: string | null;
  over: string | null;
  under: string | null;
  over_to: string | null;
  each: "point" | null;
}
/**
 * A case that goes to the show: its wall, columns and place in the build, and what speaks against it.
 *
 * `mass_kg` is its mass with what is planned to lie in it, `people` how many lift it; both are None where
 * the company has not said what an empty case and a tile weigh, or what one may lift.
 */
export interface ListedCase {
  case: string;
  wall: string;
  tile_type: string;
  batch: string;
  tiles: number;
  columns: number[];
  first: number;
  troubles: ListedTrouble[];
  substitute: string | null;
  mass_kg: number | null;
  people: number | null;
}
/**
 * What speaks against a case, and the things or the batch that it is about.
 */
export interface ListedTrouble {
  key: string;
  about: string[];
}
/**
 * A kind of part to pick; `of` is its tile type, its angle, a bar's columns, or "".
 */
export interface ListedPick {
  kind: string;
  of: string;
  in_walls: number;
  spares: number;
  count: number;
}
/**
 * What a show takes out of the warehouse; `truck` are case codes in the order of loading.
 */
export interface PrepFile {
  v: 1;
  cases: ListedCase[];
  truck: string[];
  picks: ListedPick[];
}
/**
 * What phones need to know of labels: all things, the thing of each later label, why one is revoked.
 */
export interface StockFile {
  v: 1 | 2;
  items: StockItem[];
  labels: {
    [k: string]: string;
  };
  revoked: {
    [k: string]: string;
  };
}
