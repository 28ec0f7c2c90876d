/**
 * Which tile of the stock stands where. A binding names those it replaces, as they were on the screen; what no
 * live binding names stands. So two that were made without each other's knowledge both stand, and are a question.
 */

import type { KeptEntry } from "../book/entry";

export interface Binding {
  id: string;
  device: string;
  at: string;
  wall: string;
  tile: string;
  /** A label's code, or what a foreign tag says. */
  name: string;
  replaces: string[];
}

export class Bindings {
  private readonly all = new Map<string, Binding>();
  private readonly withdrawn = new Map<string, Set<string>>();

  add(entry: KeptEntry): void {
    const { id, device, at, type, body } = entry;
    if (type === "tile_bound") {
      const { wall, tile, item, tag, replaces } = body;
      this.all.set(id, { id, device, at, wall, tile, name: item ?? tag, replaces });
    } else if (type === "withdrawn") {
      const by = this.withdrawn.get(body.entry) ?? new Set();
      this.withdrawn.set(body.entry, by.add(device));
    }
  }

  /** What stands at a place of a wall. */
  at(wall: string, tile: string): Binding[] {
    return this.standing().filter((binding) => binding.wall === wall && binding.tile === tile);
  }

  /** Where a tile stands. */
  of(name: string): Binding[] {
    return this.standing().filter((binding) => binding.name === name);
  }

  /** Everything that stands. */
  standing(): Binding[] {
    const live = [...this.all.values()].filter(({ id, device }) => !this.withdrawn.get(id)?.has(device));
    const replaced = new Set(live.flatMap(({ replaces }) => replaces));
    return live.filter(({ id }) => !replaced.has(id));
  }
}
