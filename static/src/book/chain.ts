/**
 * What a device's entries say of each other by `n` and `prev`: nothing here keeps an entry out, it is only reported.
 * Rules as in server/seamwalk/book; tests/vectors/chains.json holds both together.
 */

import { type Named, names } from "./names";

/** An entry as its device counts it: `n` from 1, `prev` the id of the one before, null at the first. */
export interface Link extends Named {
  device: string;
  n: number;
  prev: string | null;
}

/**
 * What is odd about a link: its number twice; no `prev` where one belongs, or one at the first; a `prev` of another
 * number; a `prev` that is not here.
 */
export type Flag = "fork" | "prev_missing" | "prev_other" | "prev_unknown";

/** What was found in the chains of a book. */
export interface Chains {
  /** By entry, sorted; an entry without any is not in it. */
  flags: Map<string, Flag[]>;
  /** By device: the first and last of numbers that are missing. */
  gaps: Map<string, [number, number][]>;
}

/** Look at entries, each signing input once, in any order. */
export function chains(links: Iterable<Link>): Chains {
  const all = [...links];
  const here = new Set(all.flatMap(({ id, otherId }) => [id, otherId]));
  const devices = grouped(all, ({ device }) => device);
  const told: Chains = { flags: new Map(), gaps: new Map() };
  for (const [device, own] of devices) {
    const byNumber = grouped(own, ({ n }) => n);
    for (const link of own) {
      const found = [...forked(byNumber, link), ...wrongPrev(byNumber, here, link)];
      if (found.length > 0) told.flags.set(link.id, found);
    }
    const missing = gapsOf([...byNumber.keys()]);
    if (missing.length > 0) told.gaps.set(device, missing);
  }
  return told;
}

function grouped<K>(links: Link[], keyOf: (link: Link) => K): Map<K, Link[]> {
  const groups = new Map<K, Link[]>();
  for (const link of links) {
    const group = groups.get(keyOf(link));
    if (group) group.push(link);
    else groups.set(keyOf(link), [link]);
  }
  return groups;
}

type ByNumber = Map<number, Link[]>;

function forked(byNumber: ByNumber, { n }: Link): Flag[] {
  return (byNumber.get(n)?.length ?? 0) > 1 ? ["fork"] : [];
}

function wrongPrev(byNumber: ByNumber, here: Set<string>, { n, prev }: Link): Flag[] {
  if ((prev === null) !== (n === 1)) return ["prev_missing"];
  if (prev === null) return [];
  if (!here.has(prev)) return ["prev_unknown"];
  return byNumber.get(n - 1)?.some((link) => names(link, prev)) ? [] : ["prev_other"];
}

function gapsOf(numbers: number[]): [number, number][] {
  const gaps: [number, number][] = [];
  let next = 1;
  for (const n of numbers.sort((a, b) => a - b)) {
    if (n > next) gaps.push([next, n - 1]);
    next = n + 1;
  }
  return gaps;
}
