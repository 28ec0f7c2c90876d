/** Entries in groups that somebody can take in: what was said, of which wall, on which walk. */

import { isOf, type KeptEntry } from "../../book/entry";
import { walkedIn } from "../../walk/findings/groups";
import type { Show } from "../../walk/show/show";

/** Entries that are alike, in the order in which they were made; `why` is what keeps them from being sent. */
export interface EntryGroup {
  key: string;
  wall: string | null;
  walk: string | null;
  why: string | null;
  entries: KeptEntry[];
}

/** Group entries by what they say, by wall, by walk and by why they are refused; refused ones first. */
export function groupsOf(
  show: Show,
  entries: KeptEntry[],
  whyNot: (entry: KeptEntry) => string | null,
): EntryGroup[] {
  const groups = new Map<string, EntryGroup>();
  for (const entry of entries) {
    const why = whyNot(entry);
    const { wall, walk } = whereOf(show, entry);
    const what = entry.type === "found" ? `found ${entry.body.result}` : entry.type;
    const key = [what, wall, walk, why].join("/");
    const group = groups.get(key);
    if (group) group.entries.push(entry);
    else groups.set(key, { key, wall, walk, why, entries: [entry] });
  }
  return [...groups.values()].sort((a, b) => Number(b.why !== null) - Number(a.why !== null));
}

/** How many checks these entries are about, each as often as it is named. */
export function checksOf(entries: KeptEntry[]): number {
  return entries.reduce((sum, entry) => sum + (entry.type === "found" ? entry.body.checks.length : 0), 0);
}

/** The wall and the walk of what an entry says of checks. */
function whereOf(show: Show, entry: KeptEntry): { wall: string | null; walk: string | null } {
  if (!isOf(entry, ["found"])) return { wall: null, walk: null };
  const [check = ""] = entry.body.checks;
  const wall = check.slice(0, check.indexOf("/"));
  const file = show.fileOf(wall);
  return { wall, walk: (file && walkedIn(file).get(check)?.walk) ?? null };
}
