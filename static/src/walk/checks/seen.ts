/**
 * What was on the screen. An ok answers only what somebody could see: a thing counts as seen once all of it was in the
 * view, at once or, where it is taller than the view, from its top down.
 */

/** From where to where on the screen, in px from its top. */
export interface Span {
  top: number;
  bottom: number;
}

/** Something that is drawn, by the name of what it shows. */
export interface Strip extends Span {
  id: string;
}

/** How much of each thing was seen, in px from its own top; WHOLE when it was all of it. */
export type Seen = ReadonlyMap<string, number>;

export const NOTHING_SEEN: Seen = new Map();
const WHOLE = Number.POSITIVE_INFINITY;
/** Edges lie between pixels. */
const SLACK_PX = 1;

/** What was seen with what is in the view now; the very same map where that adds nothing. */
export function seenMore(seen: Seen, strips: Strip[], view: Span): Seen {
  const more = strips.flatMap((strip): [string, number][] => {
    const before = seen.get(strip.id) ?? 0;
    const now = seenOf(strip, view, before);
    return now > before ? [[strip.id, now]] : [];
  });
  return more.length === 0 ? seen : new Map([...seen, ...more]);
}

/** How far down a strip was seen, if `before` px of it were: what does not go on from there adds nothing. */
function seenOf({ top, bottom }: Strip, view: Span, before: number): number {
  const height = bottom - top;
  const from = Math.max(0, view.top - top);
  const to = Math.min(height, view.bottom - top);
  if (to <= from || from > before + SLACK_PX) return before;
  return to >= height - SLACK_PX ? WHOLE : Math.max(before, to);
}

/** What of it still holds when everything is laid out anew: only what was seen whole. */
export function wholly(seen: Seen): Seen {
  return new Map([...seen].filter(([, px]) => px === WHOLE));
}

/** Those of the names that were not seen whole, in their order. */
export function unseen(seen: Seen, ids: string[]): string[] {
  return ids.filter((id) => seen.get(id) !== WHOLE);
}

/** By how many px to scroll on, so that the first thing that was not seen whole goes on at the view's top. */
export function wayOn(seen: Seen, strips: Strip[], view: Span): number {
  const first = strips.find(({ id }) => seen.get(id) !== WHOLE);
  return first === undefined ? 0 : first.top + (seen.get(first.id) ?? 0) - view.top;
}
