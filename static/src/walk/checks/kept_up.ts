/**
 * What is worked out of the states of thousands of checks, kept up with a fold: at first from all of them, later from
 * those alone that its acts have touched since. It goes with its fold and with what it is of, and is never told to
 * begin anew: a fold that is added up again is another one.
 */

import type { Fold } from "../../book/findings";

interface Kept<D> {
  derived: D;
  /** How many of the fold's touched checks were taken into account. */
  taken: number;
}

/** `make` works it out whole, `change` puts it right after the state of a check has changed. */
export function keptUp<K extends object, D>(
  make: (fold: Fold, of: K) => D,
  change: (derived: D, check: string, fold: Fold) => void,
): (fold: Fold, of: K) => D {
  const folds = new WeakMap<Fold, WeakMap<K, Kept<D>>>();
  return (fold, of) => {
    const all = folds.get(fold) ?? new WeakMap<K, Kept<D>>();
    folds.set(fold, all);
    const kept = all.get(of) ?? { derived: make(fold, of), taken: fold.touched.length };
    all.set(of, kept);
    for (const check of new Set(fold.touched.slice(kept.taken))) change(kept.derived, check, fold);
    kept.taken = fold.touched.length;
    return kept.derived;
  };
}
