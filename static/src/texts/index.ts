/** The phone's texts: flat catalogues, one for each language. */

import de from "./de.json";
import en from "./en.json";

export type Key = keyof typeof en;
type Parameters = Record<string, string | number>;
/** Texts by their keys; what is known only when an entry is read goes through `said`. */
export type T = (key: Key, parameters?: Parameters) => string;

const CATALOGUES: Record<string, Record<string, string>> = { en, de };
/** What each language calls itself. */
export const LANGUAGES: Record<string, string> = {
  en: "English",
  de: "Deutsch",
};

/** The first of a browser's languages, as in `de-AT`, that there is a catalogue for; English else. */
export function firstKnown(wanted: readonly string[]): string {
  const codes = wanted.map((language) => language.slice(0, 2).toLowerCase());
  return codes.find((code) => code in CATALOGUES) ?? "en";
}

/** Whether a word is the key of a text: the writer says so what went wrong. */
export function isKey(word: string): word is Key {
  return Object.hasOwn(en, word);
}

/** A word of a group by the name that an entry or a file gives it; the name itself where there is no word for it. */
export function said(t: T, group: string, name: unknown, parameters: Parameters = {}): string {
  const key = `${group}.${String(name)}`;
  return isKey(key) ? t(key, parameters) : String(name);
}

/** `pseudo` marks every English text, so that whatever is in no catalogue shows. */
export function translator(language: string): T {
  const pseudo = language === "pseudo";
  const catalogue: Record<string, string> = CATALOGUES[language] ?? en;
  return (key, parameters = {}) => {
    const text = catalogue[key] ?? en[key];
    if (text === undefined) throw new Error(`no text for ${key}`);
    const filled = text.replace(/\{(\w+)\}/g, (_, name: string) => String(parameters[name] ?? `{${name}}`));
    return pseudo ? `⟦${filled}⟧` : filled;
  };
}
