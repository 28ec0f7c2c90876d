/**
 * A pace that nobody can keep: oks that came faster than anybody can walk to the places and look. The rule and what
 * it cannot catch stand in server/seamwalk/domain/checks/pace_rule.py; tests/vectors/pace.json holds both together.
 */

import checkKinds from "./kinds.json";

/** What somebody wrote at a time by the phone's clock, ms, NaN for none; `checks` are those that it finds ok. */
export interface Tap {
  at_ms: number;
  checks: readonly string[];
}

const PACE = checkKinds.pace;
const LOOK_MS = new Map<string, number>(Object.entries(PACE.look_ms));

/** What was worked out already: the same lists are asked about at every tap. */
const LEAST_MS = new WeakMap<readonly string[], number>();

/** The least time in ms that anybody needs to look at these checks, by their ids; 0 of unknown kinds. */
export function leastMs(checks: readonly string[]): number {
  const known = LEAST_MS.get(checks) ?? addedUp(checks);
  LEAST_MS.set(checks, known);
  return known;
}

function addedUp(checks: readonly string[]): number {
  const walked = new Set<string>();
  let ms = 0;
  for (const check of checks) {
    const end = check.lastIndexOf("/");
    const kind = check.slice(end + 1).split(":")[0] ?? "";
    ms += LOOK_MS.get(kind) ?? 0;
    if (LOOK_MS.has(kind) && !PACE.from_afar.includes(kind)) walked.add(check.slice(0, end));
  }
  return ms + PACE.walk_ms * walked.size;
}

/** The positions of those of a phone's taps, in their order, that nobody can have looked for. */
export function tooQuick(taps: readonly Tap[]): number[] {
  const excesses = taps.map((tap, at) => leastMs(tap.checks) - passed(taps[at - 1], tap));
  const upTo = bestUpTo(excesses);
  const since = bestUpTo([...excesses].reverse()).reverse();
  return excesses.flatMap((excess, at) =>
    excess > 0 && (upTo[at] ?? 0) + (since[at] ?? 0) - excess > PACE.ahead_ms ? [at] : [],
  );
}

/** The time in ms since the tap before; any time where there is none, and where the clock went back. */
function passed(before: Tap | undefined, tap: Tap): number {
  const ms = before ? tap.at_ms - before.at_ms : Number.NaN;
  return ms >= 0 ? ms : Number.POSITIVE_INFINITY;
}

/** For each position the largest sum of a run that ends there. */
function bestUpTo(excesses: readonly number[]): number[] {
  let best = 0;
  return excesses.map((excess) => {
    best = excess + Math.max(0, best);
    return best;
  });
}
