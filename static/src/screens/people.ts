/** Who somebody is in words. */

import type { KeptEntry } from "../book/entry";
import { names, textOf } from "../ui/app";
import type { Show } from "../walk/show/show";

/** The name behind an entry; the start of its device's id where this phone has no name for it. */
export function whoOf(show: Show, { device }: KeptEntry): string {
  const { membership } = show;
  if (device === membership.device) return membership.name;
  return nameIn(show, show.nameBlobOf(device), device.slice(0, 8));
}

/** The name of a person; the start of their id where this phone has no name for them. */
export function nameOf(show: Show, person: string): string {
  if (person === show.me()) return show.membership.name;
  return nameIn(show, show.crew().get(person) ?? null, person.slice(0, 6));
}

/** The names behind entries, each once. */
export function peopleOf(show: Show, entries: KeptEntry[]): string {
  return [...new Set(entries.map((entry) => whoOf(show, entry)))].join(", ");
}

/** The name in a blob, a sign of waiting while it is read, and `code` where it is not on this phone. */
function nameIn(show: Show, blob: string | null, code: string): string {
  const words = textOf(show.membership.book, blob);
  return words || (blob !== null && names.has(blob) ? "…" : code);
}
