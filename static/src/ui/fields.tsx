/** Fields that several forms have: one of several, how much a fault matters, a line, a note; and what is wrong. */

import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Weight } from "../book/entry";
import { texts } from "./app";

/** A way to fill some fields of a form. */
export type Fill<F> = (part: Partial<F>) => void;

/** The fields of a form, and a way to fill some of them that keeps what was typed in the meantime. */
export function useFields<F extends object>(empty: F): [F, Fill<F>] {
  const [filled, setFilled] = useState(empty);
  return [filled, (part) => setFilled((now) => ({ ...now, ...part }))];
}

interface ChoicesProps<K extends string> {
  legend: string;
  /** Of the group of radio buttons; one of its kind on a screen. */
  name: string;
  keys: readonly K[];
  chosen: K | null;
  onPick: (key: K) => void;
  /** What stands at a key. */
  word: (key: K) => ComponentChildren;
  /** Whether the words are so few that choices stand side by side. */
  short?: boolean;
}

/** One of several. */
export function Choices<K extends string>({ short = false, ...field }: ChoicesProps<K>) {
  const { legend, name, keys, chosen, onPick, word } = field;
  return (
    <fieldset class={short ? "choices reasons" : "choices"}>
      <legend>{legend}</legend>
      {keys.map((key) => (
        <label key={key} class="choice">
          <input type="radio" name={name} value={key} checked={chosen === key} onChange={() => onPick(key)} />
          <span>{word(key)}</span>
        </label>
      ))}
    </fieldset>
  );
}

/** Any number of several. */
export function Ticks<K extends string>({
  legend,
  keys,
  isOn,
  onTick,
  word,
}: {
  legend: string;
  keys: readonly K[];
  isOn: (key: K) => boolean;
  onTick: (key: K, on: boolean) => void;
  word: (key: K) => string;
}) {
  return (
    <fieldset class="choices">
      <legend>{legend}</legend>
      {keys.map((key) => (
        <label key={key} class="choice">
          <input
            type="checkbox"
            checked={isOn(key)}
            onChange={(event) => onTick(key, event.currentTarget.checked)}
          />
          <span>{word(key)}</span>
        </label>
      ))}
    </fieldset>
  );
}

/** How much a fault matters, in the given order. */
export function WeightChoices({
  weights,
  chosen,
  onPick,
}: {
  weights: readonly Weight[];
  chosen: Weight | null;
  onPick: (weight: Weight) => void;
}) {
  const t = texts();
  return (
    <Choices
      legend={t("fault.weight")}
      name="weight"
      keys={weights}
      chosen={chosen}
      onPick={onPick}
      word={(key) => (
        <>
          <strong class={key}>{t(`fault.${key}`)}</strong> {t(`fault.${key}_means`)}
        </>
      )}
    />
  );
}

interface Typed {
  value: string;
  onType: (text: string) => void;
}

interface LineProps extends Typed {
  label: string;
  /** In characters. */
  most: number;
  /** What tests know the field by. */
  test?: string;
}

/** One line of text. */
export function Line({ label, value, onType, most, test }: LineProps) {
  return (
    <label>
      {label}
      <input
        data-test={test}
        maxLength={most}
        value={value}
        onInput={(event) => onType(event.currentTarget.value)}
      />
    </label>
  );
}

/** A note of some lines; `noteOf` gives it to an entry. */
export function Note({ label, value, onType }: Typed & { label?: string }) {
  return (
    <label>
      {label ?? texts()("fault.note")}
      <textarea
        rows={2}
        maxLength={500}
        value={value}
        onInput={(event) => onType(event.currentTarget.value)}
      />
    </label>
  );
}

/** A note by the field that names it in an entry; nothing where nobody wrote one. */
export function noteOf(note: string): Record<string, string> {
  return note.trim() ? { note_blob: note.trim() } : {};
}

/** What is wrong with what was filled in. */
export function Wrong({ children }: { children: ComponentChildren }) {
  return (
    <p class="wrong" role="alert">
      {children}
    </p>
  );
}
