/** The phone's texts: flat catalogues, one for each language. */

import de from "./de.json";
import en from "./en.json";

export type Key = keyof typeof en;
export type T = (key: string, parameters?: Record<string, string | number>) => string;

const CATALOGUES: Record<string, Record<string, string>> = { en, de };
/** What each language calls itself. */
export const LANGUAGES: Record<string, string> = { en: "English", de: "Deutsch" };

/** Whether a word is the key of a text: the writer says so what went wrong. */
export function isKey(word: string): word is Key {
  return word in en;
}

/** `pseudo` marks every English text, so that whatever is in no catalogue shows. */
export function translator(language: string): T {
  const pseudo = language === "pseudo";
  const catalogue: Record<string, string> = CATALOGUES[language] ?? en;
  return (key, parameters = {}) => {
    const text = catalogue[key] ?? en[key as Key];
    if (text === undefined) throw new Error(`no text for ${key}`);
    const filled = text.replace(/\{(\w+)\}/g, (_, name: string) => String(parameters[name] ?? `{${name}}`));
    return pseudo ? `⟦${filled}⟧` : filled;
  };
}
