/**
 * What lies in a case, as several people wrote it down, as server/seamwalk/domain/cases.py adds it up. What no
 * live sighting names stands: two people in one case add to each other, and a thing that two put into different
 * cases without knowing of each other is a question.
 */

import type { KeptEntry } from "../book/entry";

export const STAGES = ["prep", "load_in", "load_out", "return"] as const;
export type Stage = (typeof STAGES)[number];

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

interface Standing {
  ofItem: Map<string, KeptEntry[]>;
  inCase: Map<string, Set<string>>;
  closings: KeptEntry[];
}

export class Cases {
  private readonly made = new Map<string, KeptEntry>();
  private readonly withdrawn = new Map<string, Set<string>>();
  private now: Standing | null = null;

  /** Who is behind a device may become known later: call `addUpAnew` then. */
  constructor(private readonly authorOf: (device: string) => string = (device) => device) {}

  add(entry: KeptEntry): void {
    this.now = null;
    if (entry.type === "item_seen" || entry.type === "case_closed") this.made.set(entry.id, entry);
    else if (entry.type === "withdrawn") {
      const { entry: target } = entry.body;
      this.withdrawn.set(target, (this.withdrawn.get(target) ?? new Set()).add(entry.device));
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
    return [...(this.addedUp().inCase.get(keyOf(stage, box)) ?? [])].sort();
  }

  /** Everything that was seen at a stage, in a case or loose. */
  itemsAt(stage: Stage): string[] {
    const keys = [...this.addedUp().ofItem.keys()].filter((key) => key.startsWith(`${stage}/`));
    return keys.map((key) => key.slice(stage.length + 1)).sort();
  }

  /** Cases of which anything was seen or that were shut at a stage. */
  seenAt(stage: Stage): string[] {
    const { inCase, closings } = this.addedUp();
    const seen = [...inCase.keys()]
      .filter((key) => key.startsWith(`${stage}/`))
      .map((key) => key.slice(stage.length + 1));
    const shut = closings.filter(({ body }) => body.stage === stage).map(({ body }) => body.case as string);
    return [...new Set([...seen, ...shut])].filter((box) => box !== "").sort();
  }

  /** How a case stands against what is expected in it. */
  state(stage: Stage, box: string, expected: Iterable<string>): CaseState {
    const inside = this.itemsIn(stage, box);
    const wanted = new Set(expected);
    const shuts = this.addedUp().closings.filter(({ body }) => body.stage === stage && body.case === box);
    const isAsSeen = ({ body }: KeptEntry) => [...body.items].sort().join() === inside.join();
    const found = {
      there: inside.filter((item) => wanted.has(item)),
      missing: [...wanted].filter((item) => !inside.includes(item)).sort(),
      foreign: inside.filter((item) => !wanted.has(item)),
      doubles: inside.filter((item) => this.casesOf(stage, item).length > 1),
      shut: shuts.length === 0 ? null : shuts.some(isAsSeen) ? ("as_seen" as const) : ("changed" as const),
    };
    return { ...found, summary: summaryOf(found) };
  }

  private of(stage: Stage, item: string): KeptEntry[] {
    return this.addedUp().ofItem.get(keyOf(stage, item)) ?? [];
  }

  private isLive({ id, device }: KeptEntry): boolean {
    const author = this.authorOf(device);
    return ![...(this.withdrawn.get(id) ?? [])].some((by) => this.authorOf(by) === author);
  }

  private addedUp(): Standing {
    if (this.now === null) this.now = this.addUp();
    return this.now;
  }

  private addUp(): Standing {
    const live = [...this.made.values()].filter((entry) => this.isLive(entry));
    const seen = live.filter(({ type }) => type === "item_seen");
    const replaced = new Set(
      seen.flatMap(({ body }) =>
        (body.replaces ?? []).flatMap((name: string) => body.items.map((item: string) => keyOf(name, item))),
      ),
    );
    const ofItem = new Map<string, KeptEntry[]>();
    const inCase = new Map<string, Set<string>>();
    for (const entry of seen) {
      const { stage, items, case: box } = entry.body;
      for (const item of items as string[]) {
        if (replaced.has(keyOf(entry.id, item))) continue;
        const key = keyOf(stage, item);
        ofItem.set(key, [...(ofItem.get(key) ?? []), entry]);
        const place = keyOf(stage, box ?? "");
        inCase.set(place, (inCase.get(place) ?? new Set()).add(item));
      }
    }
    return { ofItem, inCase, closings: live.filter(({ type }) => type === "case_closed") };
  }
}

function keyOf(first: string, second: string): string {
  return `${first}/${second}`;
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
