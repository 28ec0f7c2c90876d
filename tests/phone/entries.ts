/** Entries as a phone keeps them, without signatures. */

import type { Bodies } from "../../static/src/book/bodies";
import type { EntryOf, EntryType, KeptEntry } from "../../static/src/book/entry";
import type { Membership } from "../../static/src/writer/protocol";

/** Who holds the phone: a crew chief in a book of its own. */
export const ME: Membership = {
  book: "b1",
  title: "T",
  ownerFingerprint: "o",
  device: "me",
  person: "p1",
  name: "Rosa",
  role: "chief",
};

let count = 0;

/** What an entry is beside its type and what it holds. */
type More = Partial<Omit<KeptEntry, "type" | "body">>;

/** One more entry that this phone made and nobody has yet; `more` says what is otherwise. */
export function keptEntry<T extends EntryType>(type: T, body: object, more: More = {}): EntryOf<T> {
  count += 1;
  const id = more.id ?? `e${count}`;
  const entry = {
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
  // A test says of a body just what it is about.
  return entry as unknown as EntryOf<T>;
}

/** What an entry holds, whatever its type: a test knows what it wrote. */
export function bodyOf({ body }: KeptEntry): Bodies["found"] & Bodies["procedure_walked"] {
  return body as Bodies["found"] & Bodies["procedure_walked"];
}
