/** What the page knows of one show: its entries added up, its plans, its people, its sign-offs. */

import { type EntryOf, type EntryType, isOf, type KeptEntry } from "../../book/entry";
import { type Act, actOf, type CheckState, Fold, kindAt } from "../../book/findings";
import { ByName } from "../../book/names";
import { type Lapse, lapse, type Standing } from "../../book/signoff";
import { standingPlan } from "../../book/succession";
import { rightsOf } from "../../book/trust";
import { Stock, type StockFile } from "../../scan/stock";
import type { Membership } from "../../writer/protocol";
import type { ChecksFile } from "../checks/checks";
import type { Edition } from "../checks/edition";
import { holdsOf, stopsDue } from "../checks/order";
import type { Asked } from "../checks/progress";
import { QuickTaps } from "../checks/quick_taps";
import { mayWalk } from "../checks/sharing";
import type { PrepFile } from "../files";
import { built, covers, heldIn } from "../findings/in_the_way";
import { SignOffs } from "../findings/sign_offs";
import { Bindings } from "../stock/bindings";
import { Cases } from "../stock/cases";
import { Records } from "./records";

/** The plan that stands for a wall; `checksFile` names the blob of its frozen checks. */
export interface Plan {
  id: string;
  wall: string;
  title: string;
  checksFile: string;
}

/** A sign-off, and why it no longer stands; null while it does. */
export interface SignOff {
  entry: EntryOf<"signed_off">;
  lapse: Lapse | null;
}

/** One show, kept up to date entry by entry: in whatever order they come, it adds up to the same. */
export class Show {
  fold = new Fold();
  /** What has an effect in this book; the phone's status counts the leaves that have none. */
  readonly entries = new ByName<KeptEntry>();
  /** The plan of each wall that stands. */
  readonly plans = new Map<string, Plan>();
  /** Checks files that are on this phone, by blob name. */
  readonly files = new Map<string, ChecksFile>();
  /** What lies in cases, as people wrote it down. */
  cases = new Cases((device) => this.authorOf(device));
  /** What this show takes out, as the office listed it last, once it is on this phone. */
  prep: PrepFile | null = null;
  bindings = new Bindings((device) => this.authorOf(device));
  /** The stock list that was given last and is on this phone. */
  stock: Stock | null = null;
  records = new Records((device) => this.authorOf(device));
  /** The edition of the procedures that the office listed for this show and that is on this phone. */
  edition: Edition | null = null;
  /** Which oks came faster than anybody can look. */
  taps = new QuickTaps();
  private stockHere = "";
  private prepHere = "";
  private readonly people = new Map<string, { person: string; nameBlob: string; role: string }>();
  private readonly planSets = new Map<string, ByName<EntryOf<"plan_set">>>();
  private signed = new SignOffs((device) => this.authorOf(device));
  private readonly byWall = new Map<string, Map<string, CheckState>>();
  private readonly stopped = new Set<string>();
  /** Own acts, by their count; those that were taken back leave it at its end. */
  private own: EntryOf<"found" | "swapped">[] = [];

  constructor(public membership: Membership) {}

  /**
   * Take entries into account, in any order; one that comes again only gets its index. `gone` are ids of texts that
   * others stand for; when one goes or turns out to have no effect, everything is added up from the start.
   */
  add(entries: KeptEntry[], gone: string[] = []): void {
    const leaving = gone.flatMap((id) => this.entries.get(id) ?? []).filter(({ id }) => gone.includes(id));
    for (const entry of entries) {
      const known = this.entries.of(entry);
      if (known && (entry.void === null) !== (known.id === entry.id)) leaving.push(known);
    }
    for (const entry of leaving) this.entries.delete(entry);
    const taken = entries.filter((entry) => entry.void === null);
    if (leaving.length > 0) this.begin([...this.entries.values(), ...taken]);
    else this.take(taken);
  }

  /** Begin from nothing with these entries. */
  private begin(entries: KeptEntry[]): void {
    this.fold = new Fold();
    this.cases = new Cases((device) => this.authorOf(device));
    this.bindings = new Bindings((device) => this.authorOf(device));
    this.records = new Records((device) => this.authorOf(device));
    this.signed = new SignOffs((device) => this.authorOf(device));
    this.taps = new QuickTaps();
    this.own = [];
    const sums = [this.plans, this.people, this.planSets, this.byWall, this.stopped, this.entries];
    for (const sum of sums) sum.clear();
    this.take(entries);
  }

  private take(entries: KeptEntry[]): void {
    const fresh: KeptEntry[] = [];
    let renamed = false;
    for (const entry of entries) {
      const isNew = this.entries.of(entry) === undefined;
      this.entries.set(entry);
      renamed ||= entry.type === "device_admitted" && this.authorOf(entry.body.device) !== entry.body.person;
      this.takeOne(entry, isNew);
      if (isNew) fresh.push(entry);
    }
    if (renamed && this.fold.acts.size > 0) this.addUpAnew();
    else this.addUp(fresh);
  }

  private addUp(entries: Iterable<KeptEntry>): void {
    const acts: Act[] = [];
    for (const entry of entries) {
      const act = actOf(entry, this.authorOf(entry.device));
      if (act) acts.push(act);
    }
    for (const check of this.fold.add(acts)) this.note(check);
  }

  /** Who is behind a device has become known: what it did before is that person's. */
  private addUpAnew(): void {
    this.fold = new Fold();
    this.taps.addUpAnew();
    this.signed.addUpAnew();
    this.addUp(this.entries.values());
  }

  private takeOne(entry: KeptEntry, isNew: boolean): void {
    const { type, body } = entry;
    this.records.add(entry);
    this.cases.add(entry);
    if (type === "device_admitted") {
      const { person, name_blob: nameBlob, role } = body;
      this.people.set(body.device, { person, nameBlob, role });
      this.bindings.addUpAnew();
      this.cases.addUpAnew();
    } else if (type === "plan_set") {
      this.takePlan(entry);
    } else if (type === "tile_bound" || type === "withdrawn") {
      this.bindings.add(entry);
    }
    this.signed.add(entry);
    if (isNew) this.taps.add(entry);
    if (isNew && entry.device === this.membership.device && (type === "found" || type === "swapped")) {
      this.own.push(entry);
      this.own.sort((a, b) => a.n - b.n);
    }
  }

  private takePlan(entry: EntryOf<"plan_set">): void {
    const { wall } = entry.body;
    const plans = this.planSets.get(wall) ?? new ByName();
    plans.set(entry);
    this.planSets.set(wall, plans);
    const sets = [...plans.values()].map(({ body, ...entry }) => ({ ...entry, replaces: body.replaces }));
    const stands = plans.get(standingPlan(sets) ?? "");
    if (stands === undefined) return;
    const { title, checks_file: checksFile } = stands.body;
    this.plans.set(wall, { id: stands.id, wall, title, checksFile });
  }

  /** The id of the plan that stands for a wall; "" while none is here. */
  planOf(wall: string): string {
    return this.plans.get(wall)?.id ?? "";
  }

  /** Keep what follows from a check's state up to date. */
  private note(check: string): void {
    const state = this.fold.state(check);
    const wall = check.slice(0, check.indexOf("/"));
    const states = this.byWall.get(wall) ?? new Map<string, CheckState>();
    this.byWall.set(wall, states.set(check, state));
    if (state.weight === "stop") this.stopped.add(check);
    else this.stopped.delete(check);
  }

  /** The person behind a device, or the device while that is unknown. */
  authorOf(device: string): string {
    const known = this.people.get(device)?.person;
    return known ?? (device === this.membership.device ? this.membership.person : device);
  }

  /** The person who holds this phone. */
  me(): string {
    return this.authorOf(this.membership.device);
  }

  /** What a walk asks of the person who holds this phone. */
  asked(wall: string, walk: string): Asked {
    const author = this.me();
    const parts = this.records.sharing(wall, walk)?.body.parts ?? [];
    const file = this.fileOf(wall);
    const isDue = file === null ? () => true : stopsDue(this, wall, file);
    return { author, part: parts.find(({ person }) => person === author) ?? null, isDue };
  }

  /** Whether whoever holds this phone may write entries of a type: nobody is offered what the office would hold. */
  may(type: EntryType): boolean {
    return rightsOf(this.membership.role).writes.includes(type);
  }

  /** The people whom the office admitted, with the blobs that hold their names. */
  crew(): Map<string, string> {
    return new Map([...this.people.values()].map(({ person, nameBlob }) => [person, nameBlob]));
  }

  /** Those of the crew who walk walls, by their roles. */
  walkers(): string[] {
    const walking = [...this.people.values()].filter(({ role }) => mayWalk(role));
    return [...new Set(walking.map(({ person }) => person))];
  }

  /** The blob that holds the name of a device's person. */
  nameBlobOf(device: string): string | null {
    return this.people.get(device)?.nameBlob ?? null;
  }

  fileOf(wall: string): ChecksFile | null {
    return this.files.get(this.plans.get(wall)?.checksFile ?? "") ?? null;
  }

  /** The blob of the stock list that stands, unless it is loaded. */
  wantedStock(): string | null {
    const name = this.records.newest("stock_listed")?.body.stock_file ?? null;
    return name === this.stockHere ? null : name;
  }

  /** The blob of the edition that holds, unless it is loaded. */
  wantedEdition(): string | null {
    const name = this.records.newest("procedures_listed")?.body.edition_file ?? null;
    return name === this.edition?.hash ? null : name;
  }

  /** The blob of the prep that holds, unless it is loaded. */
  wantedPrep(): string | null {
    const name = this.records.newest("prep_listed")?.body.prep_file ?? null;
    return name === this.prepHere ? null : name;
  }

  takePrep(name: string, file: PrepFile): void {
    this.prepHere = name;
    this.prep = file;
  }

  takeStock(name: string, file: StockFile): void {
    this.stockHere = name;
    this.stock = new Stock(file);
  }

  /** The states of all checks of a wall that anybody has touched. */
  states(wall: string): Map<string, CheckState> {
    return this.byWall.get(wall) ?? new Map();
  }

  /** Faults and reopenings that stand at a check, with the entries that made them. */
  standing(check: string): EntryOf<"found" | "swapped">[] {
    return this.fold
      .state(check)
      .standing.flatMap((id) => this.fold.acts.get(id) ?? [])
      .filter((act) => ["fault", "reopened"].includes(kindAt(act, check)))
      .map(({ id }) => id)
      .flatMap((id) => this.entries.get(id) ?? [])
      .filter((entry) => isOf(entry, ["found", "swapped"]));
  }

  /** Checks where a fault of weight stop stands, or one that is mended and that nobody has released. */
  stops(): string[] {
    const files = [...this.plans.keys()].flatMap((wall) => this.fileOf(wall) ?? []);
    const held = new Set(files.flatMap((file) => holdsOf(this, file)).map(({ check }) => check));
    return [...this.fold.stopped()].filter((check) => this.stopped.has(check) || held.has(check));
  }

  /** Own acts that are live and can be taken back, newest first. */
  undoable(): EntryOf<"found" | "swapped">[] {
    this.own = this.own.filter(({ id }) => {
      const act = this.fold.acts.get(id);
      return act !== undefined && this.fold.isLive(act);
    });
    return [...this.own].reverse();
  }

  /** Sign-offs of a wall, newest first, each with why it has lapsed. */
  signOffs(wall: string): SignOff[] {
    return this.signed.of(wall).map((entry) => ({ entry, lapse: this.lapseOf(entry) }));
  }

  /** Whether a wall was signed as built and does not come down: what is open again falls due at the next break. */
  isOnAir(wall: string): boolean {
    const built = this.signed.of(wall).some(({ body }) => ["built", "handover"].includes(body.statement));
    return built && this.records.opened(wall).length === 0;
  }

  private lapseOf(entry: EntryOf<"signed_off">): Lapse | null {
    const { wall, statement, plan, exceptions } = entry.body;
    const signed = this.planSets.get(wall)?.get(plan);
    const file = this.files.get(signed?.body.checks_file ?? "");
    const covered = this.signed.covered(entry, this.entries.values());
    const standing = (states: Map<string, CheckState>, fold: Fold): Standing => ({
      states: new Map([...built(states)].filter(([check]) => !file || covers(file, statement, check))),
      held: file ? heldIn(file, fold) : new Set(),
    });
    const then = standing(covered.states, covered.stops);
    const excepted = new Set(exceptions.map(({ check }) => check));
    const now = standing(this.states(wall), this.fold);
    return lapse({ plan: signed?.id ?? plan, excepted, ...then }, this.plans.get(wall)?.id ?? null, now);
  }
}
