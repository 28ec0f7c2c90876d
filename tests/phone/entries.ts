/** Entries as a phone keeps them, without signatures. */

import type { EntryType, KeptEntry } from "../../static/src/book/entry";

let count = 0;

/** One more entry that this phone made and nobody has yet; `more` says what is otherwise. */
export function keptEntry(type: EntryType, body: object, more: Partial<KeptEntry> = {}): KeptEntry {
  count += 1;
  const id = more.id ?? `e${count}`;
  return {
    id,
    otherId: `${id}'`,
    jws: "",
    book: "b1",
    type,
    said: type,
    device: "me",
    n: count,
    prev: null,
    at: "2026-11-20T22:00:00.000Z",
    body,
    index: null,
    void: null,
    ...more,
  };
}
