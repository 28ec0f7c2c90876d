/** Buttons that are not hit by a tap that was meant for what lay there before. */

import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";

/** As long as a second tap, or one that was on its way, takes to come, ms. */
const STEADY_MS = 600;

/**
 * Whether what is drawn has been on the screen for so long that a tap is meant for it: false at first, and again
 * whenever `key` changes, which says what a tap would do. For buttons of grave consequence that are tapped twice, or
 * that come to lie where another one was just tapped: they are disabled meanwhile.
 */
export function useSteady(key: string): boolean {
  const [steady, setSteady] = useState<string | null>(null);
  useEffect(() => {
    const timer = setTimeout(() => setSteady(key), STEADY_MS);
    return () => {
      clearTimeout(timer);
      setSteady(null);
    };
  }, [key]);
  return steady === key;
}

/** Whether a tap is the second of two quick ones on one spot: for buttons that keep their place from step to step. */
export function isSecondOfTwo({ detail }: MouseEvent): boolean {
  return detail > 1;
}

/** What a tap on an element would press; null where there is nothing to press. */
function pressedBy(target: EventTarget | null): Element | null {
  return target instanceof Element ? target.closest("a, button, label, input, select, summary") : null;
}

/** The second tap of a double tap presses what the first one pressed, or nothing: never what came to lie there. */
export function guardSecondTaps(): void {
  let first: Element | null = null;
  const guard = (event: MouseEvent) => {
    const pressed = pressedBy(event.target);
    if (!isSecondOfTwo(event)) first = pressed;
    else if (pressed !== first) {
      event.preventDefault();
      event.stopImmediatePropagation();
    }
  };
  addEventListener("click", guard, { capture: true });
}

interface Steady {
  /** What a tap would do: where it changes, taps do nothing for a moment. */
  of: string;
  test?: string;
  class?: string;
  disabled?: boolean;
  /** A further tap does nothing before this has ended. */
  onClick: () => unknown;
  children: ComponentChildren;
}

/** A button that does nothing in the first moment after it came, after what it does changed, and while it does it. */
export function SteadyButton({ of, test, disabled = false, onClick, children, ...look }: Steady) {
  const steady = useSteady(of);
  const [acting, setActing] = useState(false);

  async function act() {
    setActing(true);
    await onClick();
    setActing(false);
  }

  return (
    <button
      type="button"
      data-test={test}
      disabled={disabled || !steady || acting}
      onClick={() => void act()}
      {...look}
    >
      {children}
    </button>
  );
}

interface Sure extends Pick<Steady, "test" | "class" | "disabled"> {
  /** What it says before the first tap, and before the second. */
  words: string;
  sure: string;
  /** What the second tap does. */
  onSure: () => Promise<unknown>;
}

/** A button that acts at its second tap, which is none while it follows the first as fast as a double tap. */
export function SureButton({ words, sure, onSure, ...look }: Sure) {
  const [asked, setAsked] = useState(false);

  async function tap() {
    if (asked) await onSure();
    setAsked(!asked);
  }

  return (
    <SteadyButton of={asked ? "second" : "first"} onClick={tap} {...look}>
      {asked ? sure : words}
    </SteadyButton>
  );
}
