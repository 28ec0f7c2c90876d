/** Label codes as server/seamwalk/domain/stock/codes.py has them; tests/vectors/codes.json holds the two together. */

import { must } from "../book/must";

const ALPHABET = "0123456789ACDEFGHJKMNPQRTVWXY";
const RADIX = 2;
const LENGTH = 9;
const LOOKALIKES: Record<string, string> = { O: "0", I: "1", L: "1", B: "8", S: "5", Z: "2", U: "V" };

/** What a label can be on, by the third character of its code. */
export const KINDS = {
  C: "case",
  T: "tile",
  M: "module",
  E: "electronics_unit",
  P: "part",
  Q: "place",
} as const;
export type Kind = (typeof KINDS)[keyof typeof KINDS];
const BY_LETTER: ReadonlyMap<string, Kind> = new Map(Object.entries(KINDS));

/** A good label code. */
export interface Code {
  /** Without groups: `HQT000421`. */
  text: string;
  kind: Kind;
  /** As it is printed: `HQ-T-00042-1`. */
  grouped: string;
}

/** What was typed: a code, or what is wrong with it and which codes may have been meant. */
export type Typed = { code: Code } | { wrong: "character" | "length" | "check"; likely: string[] };

/** The check character of a body: a pure system of radix 2 (ISO/IEC 7064), its modulus our alphabet's size. */
export function checkCharacter(body: string): string {
  const modulus = ALPHABET.length;
  let total = 0;
  for (const character of body) total = ((total + ALPHABET.indexOf(character)) * RADIX) % modulus;
  return ALPHABET.charAt((1 - total + modulus) % modulus);
}

/** Read a code as typed, forgiving case, spaces, dashes and lookalikes; say what is wrong, and what it may be. */
export function readCode(typed: string): Typed {
  const text = [...typed.toUpperCase().replace(/[\s-]/g, "")].map((c) => LOOKALIKES[c] ?? c).join("");
  if ([...text].some((character) => !ALPHABET.includes(character))) return { wrong: "character", likely: [] };
  if (text.length !== LENGTH) return { wrong: "length", likely: [] };
  if (holds(text)) return { code: { text, kind: must(kindOf(text)), grouped: groupedCode(text) } };
  return { wrong: "check", likely: swaps(text).filter(holds).map(groupedCode) };
}

/** The code in what a camera read: a label's address on any host, or the bare code; null for anything else. */
export function codeIn(scanned: string): Code | null {
  const address = /^HTTPS?:\/\/[^\s/?#]+\/L\/([0-9A-Z]{9})$/i.exec(scanned.trim());
  const text = (address?.[1] ?? scanned.trim()).toUpperCase();
  if (!/^[0-9A-Z]{9}$/.test(text) || !holds(text)) return null;
  return { text, kind: must(kindOf(text)), grouped: groupedCode(text) };
}

function holds(text: string): boolean {
  const inAlphabet = [...text].every((character) => ALPHABET.includes(character));
  const shaped = kindOf(text) !== undefined && /^\d{5}$/.test(text.slice(3, 8));
  return inAlphabet && shaped && checkCharacter(text.slice(0, -1)) === text.at(-1);
}

/** What a code is on, by its third character; undefined for a text that is no code of ours. */
export function kindOf(code: string): Kind | undefined {
  return BY_LETTER.get(code.charAt(2));
}

/** A code as it is printed; a text that is no code of ours is returned unchanged. */
export function groupedCode(text: string): string {
  if (text.length !== LENGTH) return text;
  return `${text.slice(0, 2)}-${text[2]}-${text.slice(3, 8)}-${text[8]}`;
}

function swaps(text: string): string[] {
  const found = new Set<string>();
  for (let i = 0; i < LENGTH - 1; i++) {
    found.add(text.slice(0, i) + text[i + 1] + text[i] + text.slice(i + 2));
  }
  found.delete(text);
  return [...found].sort();
}
