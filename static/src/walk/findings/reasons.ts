/** Why a check stands as it does, as a sentence. */

import type { KeptEntry } from "../../book/entry";
import { why } from "../../book/why";
import type { Key } from "../../texts";
import type { Show } from "../show/show";

/** A key of the texts and what goes into it. */
export interface Sentence {
  key: Key;
  by: KeptEntry | null;
  other: KeptEntry | null;
}

/** Why a check stands as it does: the key of a sentence, the entry behind it and the one that it is about. */
export function sentence(show: Show, check: string): Sentence {
  const { key, acts, others } = why(show.fold, check);
  return { key: `why.${key}`, by: newest(show, acts), other: newest(show, others) };
}

/** The one that came last: in the book's order, those without a place in it after the others. */
function newest(show: Show, ids: string[]): KeptEntry | null {
  const place = (entry: KeptEntry) => entry.index ?? Number.MAX_SAFE_INTEGER;
  const found = ids.flatMap((id) => show.entries.get(id) ?? []);
  return found.reduce<KeptEntry | null>(
    (last, entry) => (last === null || place(entry) > place(last) ? entry : last),
    null,
  );
}
