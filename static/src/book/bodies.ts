/** Made from the server's models by tests/vectors/make_shapes.py; not to be edited. */

/**
 * What somebody is on a show.
 */
export type Role =
  | "crew"
  | "chief"
  | "competent_person"
  | "electrician"
  | "client"
  | "warehouse"
  | "partner"
  | "office";
/**
 * What of a wall somebody answers for, and so who lets it go on after a stop.
 */
export type Duty = "structure" | "mains" | "site";
/**
 * What a sign-off states.
 */
export type Statement = "built" | "suspension" | "supply" | "picture" | "handover";

/**
 * Why an ok was given before its turn: what was not there yet, as far as that phone knew.
 *
 * `missing` are checks that should have been ok before, `held` the stop faults that held the place.
 */
export interface Ahead {
  reason: string;
  missing?: string[];
  held?: string[];
}
/**
 * A named text or photo is gone on purpose.
 */
export interface BlobErased {
  blob: string;
}
/**
 * The first entry: whose book this is and under which keys.
 */
export interface BookOpened {
  kind: "show" | "company";
  title: string;
  slug: string;
  epoch: number;
  owner_jwk: Jwk;
  head_jwk: Jwk;
}
/**
 * A public P-256 key (RFC 7517).
 */
export interface Jwk {
  crv: "P-256";
  kty: "EC";
  x: string;
  y: string;
}
/**
 * The first entry: whose book this is, under which keys, and by the rules of which number.
 */
export interface BookOpened2 {
  kind: "show" | "company";
  title: string;
  slug: string;
  epoch: number;
  owner_jwk: Jwk;
  head_jwk: Jwk;
  rules: number;
}
/**
 * A case was gone through and shut: what lay in it on the screen, and what should have and did not.
 */
export interface CaseClosed {
  case: string;
  stage: "prep" | "load_in" | "load_out" | "return";
  items: string[];
  lacking: string[];
}
/**
 * What lies in a case, by label.
 */
export interface CasePacked {
  case: string;
  tiles: string[];
}
/**
 * A case came back from a show, with these tiles in it.
 */
export interface CaseReturned {
  case: string;
  show: string;
  tiles: string[];
}
/**
 * A case left for a show.
 */
export interface CaseSent {
  case: string;
  show: string;
}
/**
 * Circuits of a wall were switched on to test them, or off again; no word that anything is in order.
 */
export interface CircuitsSwitched {
  plan: string;
  wall: string;
  circuits: string[];
  live: boolean;
  note_blob?: string | null;
}
/**
 * Damage is claimed: of what, between which looks, by when, under whose reference.
 */
export interface ClaimOpened {
  item: string;
  part: string;
  after: LookNamed | null;
  seen: LookNamed;
  against_blob: string;
  reference: string | null;
  deadline: string | null;
}
/**
 * An entry of a book that says what somebody saw.
 */
export interface LookNamed {
  book: string;
  entry: string;
}
/**
 * Whom to call at this show: a file, the newest of which holds.
 */
export interface ContactsListed {
  contacts_blob: string;
}
/**
 * The other side has seen a handover and agrees, or says what it sees otherwise.
 */
export interface Countersigned {
  entry: string;
  agrees: boolean;
  name_blob: string;
  note_blob?: string | null;
}
/**
 * A part that somebody saw damaged: what is wrong, and how much it matters.
 */
export interface Damage {
  part: string;
  what: string;
  weight: "stop" | "show" | "cosmetic";
}
/**
 * A device may write from here on, for a person in a role.
 */
export interface DeviceAdmitted {
  device: string;
  jwk: Jwk;
  person: string;
  name_blob: string;
  role: Role;
}
/**
 * A device's entries are held from here on.
 */
export interface DeviceRevoked {
  device: string;
  reason: string;
}
/**
 * The office lets in an entry that was held.
 */
export interface EntryAdmitted {
  entry: string;
  reason: string;
}
/**
 * What somebody saw at one or more checks.
 */
export interface Found {
  plan: string;
  checks: string[];
  result: "ok" | "fault" | "not_reached";
  answers?: string[];
  weight?: ("stop" | "show" | "cosmetic") | null;
  reason?: string | null;
  note_blob?: string | null;
  photo_blobs?: string[];
}
/**
 * What somebody saw, and by which edition of the procedures.
 */
export interface Found2 {
  plan: string;
  checks: string[];
  result: "ok" | "fault" | "not_reached";
  answers?: string[];
  weight?: ("stop" | "show" | "cosmetic") | null;
  reason?: string | null;
  note_blob?: string | null;
  photo_blobs?: string[];
  edition?: string | null;
  readings?: Reading[];
  paper?: Paper | null;
}
/**
 * What a step asked somebody to read off, in that step's unit.
 */
export interface Reading {
  name: string;
  unit: string;
  value: number;
}
/**
 * It was written on paper first: by whom, and when the paper says.
 */
export interface Paper {
  by_blob: string;
  at: string;
}
/**
 * What somebody saw, what a fault opens again, and what an ok ahead of its turn was ahead of.
 *
 * `chosen` are the choices of the procedure that was walked, as `step:choice` in their order.
 */
export interface Found3 {
  plan: string;
  checks: string[];
  result: "ok" | "fault" | "not_reached";
  answers?: string[];
  weight?: ("stop" | "show" | "cosmetic") | null;
  reason?: string | null;
  note_blob?: string | null;
  photo_blobs?: string[];
  edition?: string | null;
  readings?: Reading[];
  paper?: Paper | null;
  chosen?: string[];
  reopens?: string[];
  ahead?: Ahead | null;
}
/**
 * Heads of this epoch are signed by another key from here on.
 */
export interface HeadKeyChanged {
  epoch: number;
  head_jwk: Jwk;
}
/**
 * Things were handed over between two companies, with what they ran on.
 *
 * `hire` is "in" for things hired from the other side, "out" for things hired to it; `leg` is "out" when
 * the hire begins and "back" when it ends.
 */
export interface HireHandedOver {
  hire: "in" | "out";
  leg: "out" | "back";
  party_blob: string;
  items: string[];
  firmware: string | null;
  configuration: string | null;
  photo_blobs?: string[];
  note_blob?: string | null;
}
/**
 * A step at the bench: what it came to, which parts were repaired, what was used up, how long it took.
 */
export interface ItemBenched {
  item: string;
  step: "triage" | "repair" | "second_look";
  result: string;
  mended?: string[];
  used?: {
    /**
     * This interface was referenced by `undefined`'s JSON-Schema definition
     * via the `patternProperty` "^[a-z][a-z0-9_]{0,39}$".
     */
    [k: string]: number;
  };
  minutes?: number | null;
  photo_blobs?: string[];
  note_blob?: string | null;
}
/**
 * What else is known of a thing; what is null stays as it was.
 */
export interface ItemDescribed {
  item: string;
  batch?: string | null;
  maker_serial?: string | null;
}
/**
 * Somebody looked at parts of a thing; what is covered and not named as damaged was sound.
 */
export interface ItemLookedAt {
  item: string;
  stage: "prep" | "load_in" | "load_out" | "return";
  covers: string[];
  damage?: Damage[];
  photo_blobs?: string[];
  note_blob?: string | null;
}
/**
 * A labelled thing of the company's stock.
 */
export interface ItemRegistered {
  item: string;
  kind: "case" | "tile" | "module" | "electronics_unit" | "part" | "place";
  tile_type?: string | null;
  home_case?: string | null;
}
/**
 * A thing got another label; the ones it had stay good.
 */
export interface ItemRelabelled {
  item: string;
  label: string;
}
/**
 * These things lie in this case, or loose; `replaces` names what was on the screen and is wrong.
 *
 * `unopened` when the case stayed shut and its list was taken for true.
 */
export interface ItemSeen {
  items: string[];
  case: string | null;
  stage: "prep" | "load_in" | "load_out" | "return";
  replaces?: string[];
  unopened?: boolean;
}
/**
 * One field of many things was set; or, with `undoes`, got back what it was before that entry.
 *
 * An undo leaves alone what was changed again since.
 */
export interface ItemsEdited {
  items: string[];
  field: "batch" | "home_case" | "tile_type";
  value: string | null;
  undoes?: string | null;
}
/**
 * A label must not be used any more: misprinted, lost, or its thing was scrapped.
 */
export interface LabelRevoked {
  label: string;
  reason: string;
}
/**
 * What somebody says of oks that came too fast to be looks: it was looked at first, and tapped after.
 */
export interface PaceAnswered {
  entries: string[];
  answer: "tapped_afterwards";
  note_blob?: string | null;
}
/**
 * So many loose parts without labels; counts of a stage add up.
 */
export interface PartsCounted {
  stage: "prep" | "load_in" | "load_out" | "return";
  part: string;
  of: string;
  count: number;
}
/**
 * A wall's plan and its frozen checks; replaces the plan it names.
 */
export interface PlanSet {
  wall: string;
  title: string;
  replaces: string | null;
  plan_file: string;
  checks_file: string;
}
/**
 * What this show takes out, case by case: a frozen file, the newest of which holds.
 */
export interface PrepListed {
  prep_file: string;
}
/**
 * A procedure that is an act of its own was walked, at a case, a tile or a wall.
 *
 * `chosen` are its choices as `step:choice` in their order, `text_blobs` what was told in words, by step.
 */
export interface ProcedureWalked {
  edition?: string | null;
  readings?: Reading[];
  photo_blobs?: string[];
  note_blob?: string | null;
  paper?: Paper | null;
  procedure: string;
  at: string;
  plan: string | null;
  result: "done" | "fault";
  reason?: string | null;
  chosen: string[];
  text_blobs?: {
    /**
     * This interface was referenced by `undefined`'s JSON-Schema definition
     * via the `patternProperty` "^[a-z][a-z0-9_]{0,39}$".
     */
    [k: string]: string;
  };
}
/**
 * The edition of the procedures that holds from here on: a frozen file, named by its hash.
 */
export interface ProceduresListed {
  edition_file: string;
}
/**
 * The server came back from an older copy; the owner vouches for what stands before `base_size`.
 *
 * A higher epoch than any before it begins here, with a head key of its own; a late one changes nothing.
 */
export interface Restored {
  epoch: number;
  base_size: number;
  base_root: string;
  head_jwk: Jwk;
}
/**
 * From here on what is kept keeps to the rules of this number; what came before may not.
 */
export interface RulesBegun {
  rules: number;
}
/**
 * One person's stretch of a walk: stops `first` to `last`, counted from 0.
 */
export interface SharedPart {
  person: string;
  first: number;
  last: number;
}
/**
 * A check that was not ok when it was signed, and why it was signed all the same.
 */
export interface SignOffException {
  check: string;
  reason: string;
  person?: string | null;
}
/**
 * A statement over an exact set of entries.
 */
export interface SignedOff {
  statement: Statement;
  wall: string;
  plan: string;
  epoch: number;
  size: number;
  root: string;
  own: string[];
  exceptions: SignOffException[];
}
/**
 * What phones need to know of labels at this show: a frozen file, the newest of which stands.
 */
export interface StockListed {
  stock_file: string;
}
/**
 * After a stop: somebody whose duty it is has looked, and lets the crew go on at what was held.
 *
 * `fault` is the stop, `check` where it was.
 */
export interface StopReleased {
  plan: string;
  fault: string;
  check: string;
  duty: Duty;
  note_blob?: string | null;
}
/**
 * What was opened for strike is being built again, and may be signed again.
 */
export interface StrikeClosed {
  opened: string;
}
/**
 * A wall, or those tiles of it, may come down from here on; null for the whole wall.
 */
export interface StrikeOpened {
  plan: string;
  wall: string;
  tiles: string[] | null;
  reason: "show_over" | "cancelled" | "weather" | "rebuild";
  note_blob?: string | null;
}
/**
 * A part was changed for another; the named checks are to be looked at again.
 */
export interface Swapped {
  plan: string;
  where: string;
  out?: string | null;
  in?: string | null;
  part: "module" | "electronics_unit" | "tile" | "angle_piece" | "lock";
  reopens: string[];
}
/**
 * A part was changed for another: by which edition, and from which place of a tile the spare came.
 */
export interface Swapped2 {
  plan: string;
  where: string;
  out?: string | null;
  in?: string | null;
  part: "module" | "electronics_unit" | "tile" | "angle_piece" | "lock";
  reopens: string[];
  edition?: string | null;
  readings?: Reading[];
  photo_blobs?: string[];
  note_blob?: string | null;
  paper?: Paper | null;
  from_place?: string | null;
}
/**
 * A part was changed for another, or ballast moved; links of supply and signal are parts too.
 */
export interface Swapped3 {
  plan: string;
  where: string;
  out?: string | null;
  in?: string | null;
  edition?: string | null;
  readings?: Reading[];
  photo_blobs?: string[];
  note_blob?: string | null;
  paper?: Paper | null;
  from_place?: string | null;
  part:
    | "module"
    | "electronics_unit"
    | "tile"
    | "angle_piece"
    | "lock"
    | "power_link"
    | "outlet"
    | "data_link"
    | "ballast";
  reopens: string[];
}
/**
 * A tile of the stock stands at a place of a wall: by its label, or by what a foreign tag says.
 *
 * `replaces` names the bindings of this tile or of this place that were on the screen and hold no longer.
 */
export interface TileBound {
  plan: string;
  wall: string;
  tile: string;
  item: string | null;
  tag: string | null;
  replaces: string[];
}
/**
 * What the company says of things of a kind and type: mass, size when packed, and what one costs.
 *
 * `type` is "" for all of the kind; a case's mass is that of the empty case.
 */
export interface TypeDescribed {
  kind: "case" | "tile" | "module" | "electronics_unit" | "part" | "place";
  type: string;
  mass_kg: number | null;
  length_mm: number | null;
  width_mm: number | null;
  height_mm: number | null;
  price: number | null;
  currency: string | null;
}
/**
 * The author takes an own entry back.
 */
export interface Withdrawn {
  entry: string;
}
/**
 * A walk is shared out among people; the newest sharing of a walk holds.
 */
export interface WorkShared {
  plan: string;
  wall: string;
  walk: string;
  parts: SharedPart[];
}
/**
 * What an entry of each type holds; older versions of a type fit, as what they lack may be left out.
 */
export interface Bodies {
  plan_set: PlanSet;
  stock_listed: StockListed;
  tile_bound: TileBound;
  found: Found3;
  withdrawn: Withdrawn;
  swapped: Swapped3;
  stop_released: StopReleased;
  circuits_switched: CircuitsSwitched;
  strike_opened: StrikeOpened;
  strike_closed: StrikeClosed;
  pace_answered: PaceAnswered;
  procedure_walked: ProcedureWalked;
  work_shared: WorkShared;
  contacts_listed: ContactsListed;
  procedures_listed: ProceduresListed;
  signed_off: SignedOff;
  book_opened: BookOpened | BookOpened2;
  rules_begun: RulesBegun;
  device_admitted: DeviceAdmitted;
  device_revoked: DeviceRevoked;
  entry_admitted: EntryAdmitted;
  blob_erased: BlobErased;
  restored: Restored;
  head_key_changed: HeadKeyChanged;
  item_registered: ItemRegistered;
  item_relabelled: ItemRelabelled;
  item_described: ItemDescribed;
  label_revoked: LabelRevoked;
  case_packed: CasePacked;
  case_sent: CaseSent;
  case_returned: CaseReturned;
  type_described: TypeDescribed;
  items_edited: ItemsEdited;
  claim_opened: ClaimOpened;
  prep_listed: PrepListed;
  item_seen: ItemSeen;
  case_closed: CaseClosed;
  parts_counted: PartsCounted;
  item_looked_at: ItemLookedAt;
  hire_handed_over: HireHandedOver;
  countersigned: Countersigned;
  item_benched: ItemBenched;
}
