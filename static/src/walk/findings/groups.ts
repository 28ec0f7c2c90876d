/** Checks of a wall in groups that somebody can take in: by walk, by row, and by what is to be said of them. */

import { at, must } from "../../book/must";
import { type ChecksFile, checksAt, type Walk } from "../checks/checks";
import { rowOf } from "../checks/places";

/** Where a check is walked: its walk, and the position of its stop there. */
export interface Walked {
  walk: string;
  stop: number;
}

/** Checks that are alike. `of` is the row, or the kind of place where there is no row. */
export interface Group<S extends string> {
  key: string;
  walk: string | null;
  of: number | string | null;
  says: S;
  /** Ids, in walking order. */
  checks: string[];
  /** The stop of the first of them. */
  stop: number;
}

/** The groups of one walk, row by row. */
export interface OfWalk<S extends string> {
  walk: string | null;
  groups: Group<S>[];
}

const known = new WeakMap<ChecksFile, Map<string, Walked>>();

/** Where every check of a file is walked, by its id. */
export function walkedIn(file: ChecksFile): Map<string, Walked> {
  let walked = known.get(file);
  if (walked === undefined) {
    walked = new Map(
      file.walks.flatMap(({ key, stops }) =>
        stops.flatMap((at, stop) =>
          checksAt(file, at).map(({ id }): [string, Walked] => [id, { walk: key, stop }]),
        ),
      ),
    );
    known.set(file, walked);
  }
  return walked;
}

/** The walk on which some checks of a file are looked at, by the first of their ids. */
export function walkOf(file: ChecksFile, checks: string[]): Walk {
  const key = walkedIn(file).get(at(checks, 0))?.walk;
  return must(file.walks.find((walk) => walk.key === key));
}

/** Group checks; walks in the file's order, what is in none last; within one in walking order. */
export function grouped<S extends string>(
  file: ChecksFile,
  items: readonly { check: string; says: S }[],
): OfWalk<S>[] {
  const walked = walkedIn(file);
  const groups = new Map<string, Group<S>>();
  const stopOf = (check: string) => walked.get(check)?.stop ?? 0;
  for (const { check, says } of [...items].sort((a, b) => stopOf(a.check) - stopOf(b.check))) {
    const at = walked.get(check);
    const of = at ? (rowOf(check) ?? check.split("/")[1] ?? null) : null;
    const key = `${at?.walk}/${of}/${says}`;
    const group = groups.get(key);
    if (group) group.checks.push(check);
    else groups.set(key, { key, walk: at?.walk ?? null, of, says, checks: [check], stop: at?.stop ?? 0 });
  }
  const all = [...groups.values()];
  return [...file.walks.map(({ key }) => key), null].flatMap((walk) => {
    const own = all.filter((group) => group.walk === walk).sort(byRow);
    return own.length > 0 ? [{ walk, groups: own }] : [];
  });
}

/** Rows from the lowest on, then what is in no row, as it is walked. */
function byRow(a: { of: unknown; stop: number }, b: { of: unknown; stop: number }): number {
  const row = ({ of }: { of: unknown }) => (typeof of === "number" ? of : Number.MAX_SAFE_INTEGER);
  return row(a) - row(b) || a.stop - b.stop;
}
