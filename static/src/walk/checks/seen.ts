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
const AGAIN_PX = 30;

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
  if (to >= height - SLACK_PX && (from <= SLACK_PX || isTall(height, view))) return WHOLE;
  return isTall(height, view) ? Math.max(before, to) : before;
}

/** Whether something can not be seen whole at once. */
function isTall(height: number, view: Span): boolean {
  return height > view.bottom - view.top;
}

/** What of it still holds when everything is laid out anew: only what was seen whole. */
export function wholly(seen: Seen): Seen {
  return new Map([...seen].filter(([, px]) => px === WHOLE));
}

/** Those of the names that were not seen whole, in their order. */
export function unseen(seen: Seen, ids: string[]): string[] {
  return ids.filter((id) => seen.get(id) !== WHOLE);
}

/**
 * By how many px to scroll on, so that the first thing that was not seen whole stands at the view's top; what is taller
 * than the view goes on there, its last lines shown again.
 */
export function wayOn(seen: Seen, strips: Strip[], view: Span): number {
  const first = strips.find(({ id }) => seen.get(id) !== WHOLE);
  if (first === undefined) return 0;
  const again = Math.min(AGAIN_PX, (view.bottom - view.top) / 4);
  const from = isTall(first.bottom - first.top, view) ? (seen.get(first.id) ?? 0) - again : 0;
  return first.top + Math.max(0, from) - view.top;
}
