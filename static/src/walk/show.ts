/** One show as this phone knows it: everything derived from its entries, entry by entry. */

import type { KeptEntry } from "../book/entry";
import { type Act, actOf, type CheckState, Fold } from "../book/findings";
import { type Lapse, lapse } from "../book/signoff";
import type { Membership } from "../writer/protocol";
import type { ChecksFile } from "./checks";

export interface Plan {
  id: string;
  wall: string;
  title: string;
  checksFile: string;
}

export interface SignOff {
  entry: KeptEntry;
  lapse: Lapse | null;
}

export class Show {
  readonly fold = new Fold();
  readonly entries = new Map<string, KeptEntry>();
  /** The newest plan of each wall. */
  readonly plans = new Map<string, Plan>();
  /** Checks files that are on this phone, by blob name. */
  readonly files = new Map<string, ChecksFile>();
  private readonly people = new Map<string, { person: string; nameBlob: string }>();
  private readonly signed: KeptEntry[] = [];
  private readonly covered = new Map<string, Map<string, CheckState>>();

  constructor(readonly membership: Membership) {}

  /** Take entries into account, in any order; one that comes again only gets its index. */
  add(entries: KeptEntry[]): void {
    for (const entry of entries) {
      const isNew = !this.entries.has(entry.id);
      this.entries.set(entry.id, entry);
      if (isNew) this.take(entry);
    }
  }

  private take(entry: KeptEntry): void {
    const { body } = entry;
    if (entry.type === "device_admitted") {
      this.people.set(body.device, { person: body.person, nameBlob: body.name_blob });
    } else if (entry.type === "plan_set") {
      const plan = { id: entry.id, wall: body.wall, title: body.title, checksFile: body.checks_file };
      this.plans.set(body.wall, plan);
    } else if (entry.type === "signed_off") {
      this.signed.push(entry);
    }
    const act = actOf(entry, this.authorOf(entry.device));
    if (act) this.fold.add([act]);
  }

  /** The person behind a device, or the device while that is unknown. */
  authorOf(device: string): string {
    const known = this.people.get(device)?.person;
    return known ?? (device === this.membership.device ? this.membership.person : device);
  }

  /** The blob that holds the name of a device's person. */
  nameBlobOf(device: string): string | null {
    return this.people.get(device)?.nameBlob ?? null;
  }

  fileOf(wall: string): ChecksFile | null {
    return this.files.get(this.plans.get(wall)?.checksFile ?? "") ?? null;
  }

  /** The states of all checks of a wall that anybody has touched. */
  states(wall: string): Map<string, CheckState> {
    const own = this.fold.checks().filter((check) => check.startsWith(`${wall}/`));
    return new Map(own.map((check) => [check, this.fold.state(check)]));
  }

  /** Faults and reopenings that stand at a check, with the entries that made them. */
  standing(check: string): KeptEntry[] {
    const acts = this.fold.state(check).standing.map((id) => this.fold.acts.get(id) as Act);
    return acts
      .filter((act) => act.kind === "fault" || act.kind === "reopened")
      .map((act) => this.entries.get(act.id) as KeptEntry);
  }

  /** Checks where a fault of weight stop stands. */
  stops(): string[] {
    return this.fold.checks().filter((check) => this.fold.state(check).weight === "stop");
  }

  /** The newest own act that is live and can be taken back. */
  undoable(): KeptEntry | null {
    const own = [...this.entries.values()].filter(
      (entry) =>
        entry.device === this.membership.device && (entry.type === "found" || entry.type === "swapped"),
    );
    const live = own.filter((entry) => this.fold.isLive(this.fold.acts.get(entry.id) as Act));
    return live.reduce<KeptEntry | null>(
      (newest, entry) => (newest && newest.n > entry.n ? newest : entry),
      null,
    );
  }

  /** Sign-offs of a wall, newest first, each with why it has lapsed. */
  signOffs(wall: string): SignOff[] {
    const plan = this.plans.get(wall)?.id ?? null;
    const states = this.states(wall);
    return this.signed
      .filter((entry) => entry.body.wall === wall)
      .map((entry) => {
        const excepted = new Set<string>(entry.body.exceptions.map((item: { check: string }) => item.check));
        const signed = { plan: entry.body.plan, excepted, states: this.coveredStates(entry) };
        return { entry, lapse: lapse(signed, plan, states) };
      })
      .reverse();
  }

  /** The states over exactly the entries that a sign-off covers. */
  private coveredStates(signOff: KeptEntry): Map<string, CheckState> {
    const { wall, size, own } = signOff.body;
    const ownIds = new Set<string>(own);
    const covers = (entry: KeptEntry) => (entry.index !== null && entry.index < size) || ownIds.has(entry.id);
    const found = [...this.entries.values()].filter(covers);
    const key = `${signOff.id}/${found.length}`;
    const known = this.covered.get(key);
    if (known) return known;
    const fold = new Fold();
    fold.add(found.map((entry) => actOf(entry, this.authorOf(entry.device))).filter((act) => act !== null));
    const checks = fold.checks().filter((check) => check.startsWith(`${wall}/`));
    const states = new Map(checks.map((check) => [check, fold.state(check)]));
    this.covered.set(key, states);
    return states;
  }
}
