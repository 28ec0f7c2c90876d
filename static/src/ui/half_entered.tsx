/**
 * What is half-entered on the screen. Whoever leaves it is asked first, whatever the way out; and while a field holds
 * what was typed and not taken, no main button says that all is well.
 */

import { signal } from "@preact/signals";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { texts } from "./app";
import { SteadyButton } from "./steady";

/** `begun`: a form that is not written yet. `untaken`: a field whose text was not taken, so that no entry would hold it. */
type Half = "begun" | "untaken";

/** The parts of the screen in which something is half-entered. */
const parts = signal<ReadonlyMap<object, Half>>(new Map());
/** The way out that waits until somebody has said whether what is half-entered may go. */
const waiting = signal<(() => void) | null>(null);

/** Whether a field holds what was typed and not taken; a component that asks is drawn again when that changes. */
export function isUntaken(): boolean {
  return [...parts.value.values()].includes("untaken");
}

/** Say of a part of a screen, for as long as it is drawn, whether something in it is half-entered. */
export function useHalfEntered(is: boolean, half: Half = "begun"): void {
  const [part] = useState({});
  useLayoutEffect(() => {
    mark(part, is ? half : null);
    return () => mark(part, null);
  }, [is]);
}

function mark(part: object, half: Half | null): void {
  if ((parts.peek().get(part) ?? null) === half) return;
  const others = [...parts.peek()].filter(([other]) => other !== part);
  parts.value = new Map(half === null ? others : [...others, [part, half]]);
}

/** Go this way out; where something is half-entered somebody is asked first. */
export function leave(way: () => void): void {
  if (parts.peek().size === 0) way();
  else waiting.value = way;
}

/** Go this way out of a form whose entry was written: nothing in it is half-entered any more. */
export function leaveWritten(way: () => void): void {
  parts.value = new Map();
  way();
}

/** Takes what the address is now; until a page guards its ways out there is nobody to tell. */
let arrive = () => {};

/** Go to an address, as by a link, drawn with what led to it. */
export function goTo(address: string): void {
  if (address !== location.hash) history.pushState(null, "", address);
  arrive();
}

/** Every way out that a page has: its links, the browser's own Back, and closing it. `go` opens an address. */
export function guardLeaving(here: () => string, go: (address: string) => void): void {
  addEventListener("click", stopAtLinks, { capture: true });
  addEventListener("beforeunload", (event) => {
    if (parts.peek().size > 0) event.preventDefault();
  });
  arrive = () => {
    const to = location.hash;
    if (to === here()) return;
    if (parts.peek().size === 0) return go(to);
    history.pushState(null, "", here() || "#");
    leave(() => {
      location.hash = to;
    });
  };
  addEventListener("hashchange", () => arrive());
}

function stopAtLinks(event: MouseEvent): void {
  const link = event.target instanceof Element ? event.target.closest("a[href^='#']") : null;
  const to = link?.getAttribute("href");
  if (!to || parts.peek().size === 0) return;
  event.preventDefault();
  leave(() => {
    location.hash = to;
  });
}

/** The question, over everything else, while a way out waits for its answer. */
export function AskToLeave() {
  return waiting.value === null ? null : <Question way={waiting.value} />;
}

function Question({ way }: { way: () => void }) {
  const t = texts();
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => dialog.current?.showModal(), []);
  const stay = () => {
    waiting.value = null;
  };
  const drop = () => {
    stay();
    leaveWritten(way);
  };
  return (
    <dialog ref={dialog} class="question" aria-label={t("half.ask")} data-test="half-entered" onCancel={stay}>
      <p class="do">{t("half.ask")}</p>
      <button type="button" class="main ok" data-test="half-stay" onClick={stay}>
        {t("half.stay")}
      </button>
      <SteadyButton of="drop" class="alarm" test="half-drop" onClick={drop}>
        {t("half.drop")}
      </SteadyButton>
    </dialog>
  );
}
