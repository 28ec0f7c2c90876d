/**
 * What lies in a case, as several people wrote it down, as server/seamwalk/domain/stock/cases.py adds it up. What no
 * live sighting names stands: two people in one case add to each other, and a thing that two put into different
 * cases without knowing of each other is a question.
 */

import type { Bodies } from "../../book/bodies";
import type { EntryOf, KeptEntry } from "../../book/entry";
import { ByName, isAmong, Withdrawals } from "../../book/names";

/** A case's way, in its order: packed, into the venue, out of it, and back. */
export const STAGES = ["prep", "load_in", "load_out", "return"] as const satisfies Stage[];
export type Stage = Bodies["item_seen"]["stage"];

/** A case at a stage, against what should lie in it; all lists are of codes. */
export interface CaseState {
  there: string[];
  missing: string[];
  foreign: string[];
  /** Things here that lie in another case too, as somebody else wrote. */
  doubles: string[];
  /** Shut with just what stands now, or with something else; null while nobody shut it. */
  shut: "as_seen" | "changed" | null;
  summary: "open" | "wrong" | "short" | "complete";
}

type Sighting = EntryOf<"item_seen">;
type Closing = EntryOf<"case_closed">;
type ByStage<T> = Map<string, Map<string, T>>;

/** What stands, added up: a new sighting is added to it, a withdrawal makes it start over. */
interface Standing {
  ofItem: ByStage<Sighting[]>;
  inCase: ByStage<Set<string>>;
  closings: Closing[];
  /** What live sightings name, by stage and item. */
  replaced: Map<string, Set<string>>;
}

/** All sightings and closings of a book, and what stands of them. */
export class Cases {
  private readonly made = new ByName<Sighting | Closing>();
  private readonly withdrawn = new Withdrawals();
  private now: Standing | null = null;

  /** Who is behind a device may become known later: call `addUpAnew` then. */
  constructor(private readonly authorOf: (device: string) => string = (device) => device) {}

  add(entry: KeptEntry): void {
    if (entry.type === "item_seen" || entry.type === "case_closed") {
      const isNew = this.made.of(entry) === undefined;
      this.made.set(entry);
      if (isNew && this.now !== null && this.isLive(entry)) take(this.now, entry);
    } else if (entry.type === "withdrawn") {
      this.withdrawn.add(entry.body.entry, entry.device);
      this.now = null;
    }
  }

  addUpAnew(): void {
    this.now = null;
  }

  /** The cases that a thing lies in at a stage; more than one is a question; "" is loose. */
  casesOf(stage: Stage, item: string): string[] {
    return [...new Set(this.of(stage, item).map(({ body }) => body.case ?? ""))].sort();
  }

  /** The sightings that stand of a thing at a stage: what a new one replaces. */
  sightingsOf(stage: Stage, item: string): string[] {
    return this.of(stage, item).map(({ id }) => id);
  }

  itemsIn(stage: Stage, box: string): string[] {
    return [...(this.addedUp().inCase.get(stage)?.get(box) ?? [])].sort();
  }

  /** Everything that was seen at a stage, in a case or loose. */
  itemsAt(stage: Stage): string[] {
    const all = this.addedUp().ofItem.get(stage) ?? new Map<string, Sighting[]>();
    return [...all].flatMap(([item, entries]) => (entries.length > 0 ? [item] : [])).sort();
  }

  /** Cases of which anything was seen or that were shut at a stage. */
  seenAt(stage: Stage): string[] {
    const { inCase, closings } = this.addedUp();
    const all = inCase.get(stage) ?? new Map<string, Set<string>>();
    const seen = [...all].flatMap(([box, items]) => (items.size > 0 && box !== "" ? [box] : []));
    const shut = closings.filter(({ body }) => body.stage === stage).map(({ body }) => body.case);
    return [...new Set([...seen, ...shut])].sort();
  }

  /** How a case stands against what is expected in it. */
  state(stage: Stage, box: string, expected: Iterable<string>): CaseState {
    const inside = this.itemsIn(stage, box);
    const wanted = new Set(expected);
    const shuts = this.addedUp().closings.filter(({ body }) => body.stage === stage && body.case === box);
    const isAsSeen = ({ body }: Closing) => [...body.items].sort().join() === inside.join();
    const found = {
      there: inside.filter((item) => wanted.has(item)),
      missing: [...wanted].filter((item) => !inside.includes(item)).sort(),
      foreign: inside.filter((item) => !wanted.has(item)),
      doubles: inside.filter((item) => this.casesOf(stage, item).length > 1),
      shut: shuts.length === 0 ? null : shuts.some(isAsSeen) ? ("as_seen" as const) : ("changed" as const),
    };
    return { ...found, summary: summaryOf(found) };
  }

  private of(stage: Stage, item: string): Sighting[] {
    return this.addedUp().ofItem.get(stage)?.get(item) ?? [];
  }

  private isLive(entry: KeptEntry): boolean {
    const author = this.authorOf(entry.device);
    return !this.withdrawn.some(entry, (by) => this.authorOf(by) === author);
  }

  private addedUp(): Standing {
    if (this.now === null) {
      const now: Standing = { ofItem: new Map(), inCase: new Map(), closings: [], replaced: new Map() };
      for (const entry of this.made.values()) if (this.isLive(entry)) take(now, entry);
      this.now = now;
    }
    return this.now;
  }
}

/** Add a live entry to what stands, in whatever order they come. */
function take(now: Standing, entry: Sighting | Closing): void {
  if (entry.type === "case_closed") {
    now.closings.push(entry);
    return;
  }
  const { stage, items, case: box, replaces } = entry.body;
  const ofItem = ofStage(now.ofItem, stage);
  const inCase = ofStage(now.inCase, stage);
  for (const item of items) {
    const place = `${stage}/${item}`;
    const replaced = now.replaced.get(place) ?? new Set<string>();
    now.replaced.set(place, replaced);
    for (const name of replaces ?? []) replaced.add(name);
    const known = [...(ofItem.get(item) ?? []), entry];
    const standing = known.filter((one) => !isAmong(one, replaced));
    ofItem.set(item, standing);
    const boxes = new Set(standing.map(({ body }) => body.case ?? ""));
    for (const name of new Set([...known.map(({ body }) => body.case ?? ""), box ?? ""])) {
      const inside = inCase.get(name) ?? new Set<string>();
      if (boxes.has(name)) inside.add(item);
      else inside.delete(item);
      inCase.set(name, inside);
    }
  }
}

function ofStage<T>(all: ByStage<T>, stage: string): Map<string, T> {
  const own = all.get(stage) ?? new Map<string, T>();
  all.set(stage, own);
  return own;
}

function summaryOf({
  there,
  missing,
  foreign,
  doubles,
  shut,
}: Omit<CaseState, "summary">): CaseState["summary"] {
  if (foreign.length > 0 || doubles.length > 0) return "wrong";
  const touched = there.length > 0 || shut !== null;
  if (!touched) return "open";
  return missing.length > 0 ? "short" : "complete";
}
