/** A book of one wall with a good body of each type, and every screen over it, as text. */

import { base64url, utf8 } from "../../static/src/book/bytes";
import { bothIds, type KeptEntry, parseLeaf } from "../../static/src/book/entry";
import { at } from "../../static/src/book/must";
import { Acts } from "../../static/src/screens/checks/act";
import { Live } from "../../static/src/screens/checks/live";
import { OwnActs } from "../../static/src/screens/checks/own_acts";
import { Pass } from "../../static/src/screens/checks/pass";
import { Service } from "../../static/src/screens/checks/service";
import { Share } from "../../static/src/screens/checks/share";
import { Stops } from "../../static/src/screens/checks/stops";
import { Strike } from "../../static/src/screens/checks/strike";
import { Walk } from "../../static/src/screens/checks/walk";
import { QuickScreen } from "../../static/src/screens/findings/quick";
import { SignOff } from "../../static/src/screens/findings/signoff";
import { Home } from "../../static/src/screens/show/home";
import { Settings } from "../../static/src/screens/show/settings";
import { Unsent } from "../../static/src/screens/show/unsent";
import { Bench } from "../../static/src/screens/stock/bench";
import { CaseScreen } from "../../static/src/screens/stock/case";
import { CasesScreen } from "../../static/src/screens/stock/cases";
import { FoundCard } from "../../static/src/screens/stock/found";
import { Hire } from "../../static/src/screens/stock/hire";
import { shows } from "../../static/src/ui/app";
import type { ChecksFile } from "../../static/src/walk/checks/checks";
import { Edition } from "../../static/src/walk/checks/edition";
import { Show } from "../../static/src/walk/show/show";
import { ME } from "./entries";
import { read as asText } from "./screen";

export const BOOK = "b0123456789abcdef";
export const HASH = "0".repeat(64);
const SIDE = "A/side/1.1/2.1/locks:2";
const TILE = "HQT000421";
const CASE = "HQC000011";
export const AT = "2026-11-20T22:00:00.000Z";

const check = (id: string, kind: string, tiles: string[]) =>
  ({ id, kind, expect: "2", tiles, procedure: "lock", structural: true }) as const;
const FILE: ChecksFile = {
  v: 1,
  wall: "A",
  title: "Back",
  columns: 2,
  rows: 1,
  bends_deg: [0],
  support: "stacked",
  tiles: [1, 2].map((column) => ({ id: `${column}.1`, column, row: 1, w: 1, h: 1, type: "a" })),
  checks: [check(SIDE, "locks", ["1.1", "2.1"]), check("A/tile/1.1/condition:sound", "condition", ["1.1"])],
  walks: [
    {
      key: "seams",
      stops: [
        { place: "side/1.1/2.1", column: 1, row: 1, checks: [0] },
        { place: "tile/1.1", column: 1, row: 1, checks: [1] },
      ],
    },
  ],
  touches: {},
  cables: { circuits: [{ line: null, tiles: [0, 1] }], runs: [], backup_ports: null },
  kinds: {},
};
const EDITION = { v: 1 as const, procedures: {}, texts: { en: { "reasons.gap": "A gap" } } };

/** One good body of each type. */
export const GOOD = {
  book_opened: { kind: "show", title: "T", slug: "t", epoch: 1, owner_jwk: {}, head_jwk: {} },
  rules_begun: { rules: 2 },
  device_admitted: { device: "other", jwk: {}, person: "p2", name_blob: HASH, role: "crew" },
  device_revoked: { device: "other", reason: "lost" },
  entry_admitted: { entry: HASH, reason: "true" },
  plan_set: { wall: "A", title: "Back", replaces: null, plan_file: HASH, checks_file: HASH },
  stock_listed: { stock_file: HASH },
  tile_bound: { plan: HASH, wall: "A", tile: "1.1", item: TILE, tag: null, replaces: [] },
  found: {
    plan: HASH,
    checks: [SIDE],
    result: "fault",
    weight: "stop",
    reason: "gap",
    answers: [],
    readings: [{ name: "gap_mm", unit: "mm", value: 1 }],
    note_blob: HASH,
    photo_blobs: [HASH],
    paper: { by_blob: HASH, at: AT },
  },
  withdrawn: { entry: HASH },
  swapped: { plan: HASH, part: "module", where: "1.1", out: TILE, in: TILE, reopens: [SIDE] },
  procedure_walked: {
    procedure: "incident",
    at: "show",
    plan: null,
    result: "fault",
    reason: "gap",
    chosen: [],
    text_blobs: { a: HASH },
  },
  work_shared: { plan: HASH, wall: "A", walk: "seams", parts: [{ person: "p1", first: 0, last: 1 }] },
  contacts_listed: { contacts_blob: HASH },
  procedures_listed: { edition_file: HASH },
  signed_off: {
    statement: "built",
    wall: "A",
    plan: HASH,
    epoch: 1,
    size: 1,
    root: HASH,
    own: [HASH],
    exceptions: [{ check: SIDE, reason: "r" }],
  },
  blob_erased: { blob: HASH },
  restored: { epoch: 2, base_size: 1, base_root: HASH, head_jwk: {} },
  head_key_changed: { epoch: 1, head_jwk: {} },
  item_seen: { items: [TILE], case: CASE, stage: "load_in", replaces: [], unopened: false },
  case_closed: { case: CASE, stage: "load_in", items: [TILE], lacking: [] },
  prep_listed: { prep_file: HASH },
  parts_counted: { stage: "load_in", part: "lock_spring", of: "", count: 2 },
  item_looked_at: {
    item: TILE,
    stage: "load_in",
    covers: ["corner"],
    damage: [{ part: "corner:top_left", what: "chipped", weight: "show" }],
  },
  hire_handed_over: {
    hire: "in",
    leg: "out",
    party_blob: HASH,
    items: [TILE],
    firmware: "1",
    configuration: null,
  },
  countersigned: { entry: HASH, agrees: true, name_blob: HASH },
  item_benched: { item: TILE, step: "triage", result: "repair", mended: [], used: {}, minutes: 3 },
};
/** The same, for a type that may be none. */
export const GOOD_BY_TYPE: Record<string, object> = GOOD;

/** A text with a signature that has two forms: what is judged elsewhere is not judged here. */
export function textOf(payload: unknown, header: object = {}): string {
  const whole = { alg: "ES256", typ: "seamwalk-entry", kid: "me", ...header };
  const parts = [whole, payload].map((part) => base64url(utf8(JSON.stringify(part))));
  return [...parts, base64url(new Uint8Array(64).fill(1))].join(".");
}

let made = 0;
/** An entry of a type as this phone reads it from its text; `more` are members of its payload, `kid` of its header. */
export async function entryOf(
  type: unknown,
  body: unknown,
  more: { kid?: string; n?: number; at?: string } = {},
): Promise<KeptEntry> {
  made += 1;
  const payload = { type, v: 1, book: BOOK, n: made, prev: null, at: AT, body, ...more };
  const text = textOf(payload, { kid: more.kid ?? "me" });
  return parseLeaf(text, await bothIds(text), BOOK, null);
}

/** Every screen of the phone that shows entries, as text, or as `read` tells it. */
export function everyScreen(show: Show, read = asText): string {
  const wall = { show, wall: "A", file: FILE };
  const walk = at(FILE.walks, 0);
  const handovers = show.records.all("hire_handed_over").map(({ id }) => read(Hire, { show, id }));
  return [
    read(Home, { show }),
    read(Unsent, { show }),
    read(Acts, { show }),
    read(Hire, { show, id: "" }),
    ...handovers,
    read(Bench, { show, code: "" }),
    read(Bench, { show, code: TILE }),
    ...(["prep", "load_in", "load_out", "return"] as const).map((stage) =>
      read(CasesScreen, { show, stage }),
    ),
    read(CaseScreen, { show, stage: "load_in", box: CASE }),
    read(FoundCard, { show, scanned: TILE, target: null, onBound: () => undefined }),
    read(Share, { ...wall, walk }),
    read(SignOff, wall),
    read(Stops, { show }),
    read(Strike, wall),
    read(Live, wall),
    read(OwnActs, { show }),
    read(QuickScreen, wall),
    read(Pass, { ...wall, walk }),
    read(Service, { ...wall, tile: "1.1" }),
    read(Settings, { show }),
    ...walk.stops.map((_, index) => read(Walk, { ...wall, walk, index })),
  ].join(" ");
}

/** A show of these entries, with a wall, an edition and a stock list, for the screens to draw. */
export function showOf(entries: KeptEntry[], role = "chief"): Show {
  const show = new Show({ ...ME, book: BOOK, role });
  show.files.set(HASH, FILE);
  show.edition = new Edition(HASH, EDITION, "en");
  show.takeStock(HASH, { v: 1, items: [[TILE, "a", CASE, null, "here"]], labels: {}, revoked: {} });
  show.add(entries);
  shows.clear();
  shows.set(BOOK, show);
  return show;
}
