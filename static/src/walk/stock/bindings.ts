/**
 * Which tile of the stock stands where. A binding names those it replaces, as they were on the screen; what no
 * live binding names stands. So two that were made without each other's knowledge both stand, and are a question.
 */

import type { KeptEntry } from "../../book/entry";
import { ByName, isAmong, type Named, Withdrawals } from "../../book/names";

/** A tile put at a place; `replaces` are ids of the bindings that gave way to it. */
export interface Binding extends Named {
  device: string;
  at: string;
  wall: string;
  tile: string;
  /** A label's code, or what a foreign tag says. */
  name: string;
  replaces: string[];
}

interface Standing {
  all: Binding[];
  byPlace: Map<string, Binding[]>;
  byName: Map<string, Binding[]>;
}

/** All bindings of a book, and which of them stand. */
export class Bindings {
  private readonly all = new ByName<Binding>();
  private readonly withdrawn = new Withdrawals();
  private now: Standing | null = null;

  /** Who is behind a device may become known later: call `addUpAnew` then. */
  constructor(private readonly authorOf: (device: string) => string = (device) => device) {}

  add(entry: KeptEntry): void {
    const { id, otherId, device, at, type, body } = entry;
    this.now = null;
    if (type === "tile_bound") {
      const { wall, tile, item, tag, replaces } = body;
      this.all.set({ id, otherId, device, at, wall, tile, name: item ?? tag ?? "", replaces });
    } else if (type === "withdrawn") {
      this.withdrawn.add(body.entry, device);
    }
  }

  addUpAnew(): void {
    this.now = null;
  }

  /** What stands at a place of a wall. */
  at(wall: string, tile: string): Binding[] {
    return this.sorted().byPlace.get(`${wall}/${tile}`) ?? [];
  }

  /** Where a tile stands. */
  of(name: string): Binding[] {
    return this.sorted().byName.get(name) ?? [];
  }

  /** Every binding of a tile that was made, also those that hold no longer, newest first. */
  history(name: string): Binding[] {
    const made = [...this.all.values()].filter((binding) => binding.name === name);
    return made.sort((a, b) => b.at.localeCompare(a.at));
  }

  /** Everything that stands. */
  standing(): Binding[] {
    return this.sorted().all;
  }

  /** By its author only, on whichever phone. */
  private isTakenBack(binding: Binding): boolean {
    const author = this.authorOf(binding.device);
    return this.withdrawn.some(binding, (by) => this.authorOf(by) === author);
  }

  private sorted(): Standing {
    if (this.now === null) {
      const all = this.addUp();
      const byPlace = grouped(all, ({ wall, tile }) => `${wall}/${tile}`);
      this.now = { all, byPlace, byName: grouped(all, ({ name }) => name) };
    }
    return this.now;
  }

  private addUp(): Binding[] {
    const live = [...this.all.values()].filter((binding) => !this.isTakenBack(binding));
    const replaced = new Set(live.flatMap(({ replaces }) => replaces));
    return live.filter((binding) => !isAmong(binding, replaced));
  }
}

function grouped(all: Binding[], keyOf: (binding: Binding) => string): Map<string, Binding[]> {
  const groups = new Map<string, Binding[]>();
  for (const binding of all) {
    const group = groups.get(keyOf(binding));
    if (group) group.push(binding);
    else groups.set(keyOf(binding), [binding]);
  }
  return groups;
}
