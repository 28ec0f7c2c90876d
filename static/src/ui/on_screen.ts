/** Measures what of a scrolled part of the page was on the screen since it was drawn as it is now. */

import { useSignal } from "@preact/signals";
import type { RefObject } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";
import { NOTHING_SEEN, type Seen, type Span, type Strip, seenMore, wayOn, wholly } from "../walk/checks/seen";

/** What a frame has shown, and the way to what it has not. */
export interface OnScreen {
  /** Put it at the element that scrolls; what is to be seen in it carries `data-shows`, names apart by spaces. */
  frame: RefObject<HTMLElement | null>;
  /** Put it at what comes first in the frame: its height is the frame's `--first`, the least room that it is given. */
  first: RefObject<HTMLDivElement | null>;
  /** What was seen; a component that asks is drawn again, by itself, when more was. */
  seen: () => Seen;
  /** Scroll on to the first thing that was not seen whole. */
  lead: () => void;
}

/**
 * Begin anew whenever `key` changes, which says what is drawn; the frame stands at its top again whenever `of` changes,
 * which says what it is drawn for.
 */
export function useOnScreen(key: string, of: number | string): OnScreen {
  const frame = useRef<HTMLElement>(null);
  const first = useRef<HTMLDivElement>(null);
  const size = useRef("");
  const held = useSignal({ key, seen: NOTHING_SEEN });
  const seenIn = (now: { key: string; seen: Seen }) => (now.key === key ? now.seen : NOTHING_SEEN);

  useLayoutEffect(() => {
    if (frame.current) frame.current.scrollTop = 0;
  }, [of]);
  const look = (keep: (seen: Seen) => Seen) => {
    const now = held.peek();
    const before = keep(seenIn(now));
    const after = document.hidden ? before : seenMore(before, stripsIn(frame.current), viewOf(frame.current));
    if (after !== now.seen || now.key !== key) held.value = { key, seen: after };
  };
  const scrolled = () => look((before) => before);
  const anew = () => {
    const now = giveRoom(frame.current, first.current);
    const same = now === size.current;
    size.current = now;
    look((before) => (same ? before : wholly(before)));
  };
  // what listens stays from draw to draw, and looks with the eyes of the last one
  const eyes = useRef<Eyes>({ scrolled, anew });
  eyes.current = { scrolled, anew };
  const watched = useRef<{ frame: HTMLElement | null; end: () => void } | null>(null);
  useLayoutEffect(() => {
    anew();
    if (watched.current?.frame === frame.current) return;
    watched.current?.end();
    watched.current = { frame: frame.current, end: watch(frame.current, first.current, eyes) };
  });
  useLayoutEffect(() => () => watched.current?.end(), []);

  const lead = () => {
    const view = viewOf(frame.current);
    frame.current?.scrollBy(0, wayOn(seenIn(held.peek()), stripsIn(frame.current), view));
  };
  return { frame, first, seen: () => seenIn(held.value), lead };
}

/** Give a frame its least room; how large both are, to be compared. */
function giveRoom(frame: HTMLElement | null, first: HTMLElement | null): string {
  frame?.style.setProperty("--first", `${first?.offsetHeight}px`);
  return `${frame?.clientWidth} ${frame?.clientHeight} ${first?.offsetHeight}`;
}

/** What looks again: when something was scrolled, and when something has another size. */
interface Eyes {
  scrolled: () => void;
  anew: () => void;
}

/** Look again whenever what is seen of a frame may have changed; returns what ends it. */
function watch(frame: HTMLElement | null, first: HTMLElement | null, eyes: RefObject<Eyes>): () => void {
  const scrolled = () => eyes.current?.scrolled();
  const anew = () => eyes.current?.anew();
  const own: [EventTarget | null, string, () => void][] = [
    [frame, "scroll", scrolled],
    [window, "scroll", scrolled],
    [window, "resize", anew],
    [document, "visibilitychange", scrolled],
    [window.visualViewport, "scroll", scrolled],
    [window.visualViewport, "resize", scrolled],
  ];
  for (const [target, type, on] of own) target?.addEventListener(type, on, { passive: true });
  const sizes = new ResizeObserver(anew);
  for (const element of [frame, first]) if (element) sizes.observe(element);
  return () => {
    sizes.disconnect();
    for (const [target, type, on] of own) target?.removeEventListener(type, on);
  };
}

/** What stands in a frame, from its top down; an element that shows several things is one strip for each. */
function stripsIn(frame: HTMLElement | null): Strip[] {
  return [...(frame?.querySelectorAll<HTMLElement>("[data-shows]") ?? [])].flatMap((element) => {
    const { top, bottom } = element.getBoundingClientRect();
    return (element.dataset.shows ?? "").split(" ").map((id) => ({ id, top, bottom }));
  });
}

/** The part of a frame that is on the screen; of a page that was made larger with two fingers, what is left of it. */
function viewOf(frame: HTMLElement | null): Span {
  if (frame === null) return { top: 0, bottom: 0 };
  const { top, bottom } = frame.getBoundingClientRect();
  const viewport = window.visualViewport;
  const from = viewport?.offsetTop ?? 0;
  return {
    top: Math.max(top, from),
    bottom: Math.min(bottom, from + (viewport?.height ?? window.innerHeight)),
  };
}
