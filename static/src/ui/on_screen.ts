/** Measures what of a scrolled part of the page was on the screen since it was drawn as it is now. */

import type { RefObject } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import { NOTHING_SEEN, type Seen, type Span, type Strip, seenMore, wayOn, wholly } from "../walk/checks/seen";

/** What a frame has shown, and the way to what it has not. */
export interface OnScreen {
  /** Put it at the element that scrolls; what is to be seen in it carries `data-shows`, names apart by spaces. */
  frame: RefObject<HTMLElement | null>;
  /** Put it at what comes first in the frame: its height is the frame's `--first`, the least room that it is given. */
  first: RefObject<HTMLDivElement | null>;
  seen: Seen;
  /** Scroll on to the first thing that was not seen whole. */
  lead: () => void;
}

/** Begin anew whenever `key` changes, which says what is drawn. */
export function useOnScreen(key: string): OnScreen {
  const frame = useRef<HTMLElement>(null);
  const first = useRef<HTMLDivElement>(null);
  const size = useRef("");
  const [held, hold] = useState({ key, seen: NOTHING_SEEN });
  const seen = held.key === key ? held.seen : NOTHING_SEEN;

  useLayoutEffect(() => {
    const look = (keep: (seen: Seen) => Seen) =>
      hold((now) => {
        const before = now.key === key ? keep(now.seen) : NOTHING_SEEN;
        const after = document.hidden
          ? before
          : seenMore(before, stripsIn(frame.current), viewOf(frame.current));
        return after === now.seen && now.key === key ? now : { key, seen: after };
      });
    const scrolled = () => look((before) => before);
    const anew = () => {
      const now = giveRoom(frame.current, first.current);
      const same = now === size.current;
      size.current = now;
      look((before) => (same ? before : wholly(before)));
    };
    anew();
    const sizes = new ResizeObserver(anew);
    for (const element of [frame.current, first.current]) if (element) sizes.observe(element);
    const deaf = listen(frame.current, scrolled, anew);
    return () => {
      sizes.disconnect();
      deaf();
    };
  });

  const lead = () => {
    const view = viewOf(frame.current);
    frame.current?.scrollBy(0, wayOn(seen, stripsIn(frame.current), view));
  };
  return { frame, first, seen, lead };
}

/** Give a frame its least room; how large both are, to be compared. */
function giveRoom(frame: HTMLElement | null, first: HTMLElement | null): string {
  frame?.style.setProperty("--first", `${first?.offsetHeight}px`);
  return `${frame?.clientWidth} ${frame?.clientHeight} ${first?.offsetHeight}`;
}

function listen(frame: HTMLElement | null, scrolled: () => void, laidOut: () => void): () => void {
  const own: [EventTarget | null, string, () => void][] = [
    [frame, "scroll", scrolled],
    [window, "scroll", scrolled],
    [window, "resize", laidOut],
    [document, "visibilitychange", scrolled],
    [window.visualViewport, "scroll", scrolled],
    [window.visualViewport, "resize", scrolled],
  ];
  for (const [target, type, on] of own) target?.addEventListener(type, on, { passive: true });
  return () => {
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
