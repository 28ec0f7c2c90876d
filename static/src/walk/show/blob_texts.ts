/** What stands in blobs: words with their salt, and files that the office made; whatever else is there is shown raw. */

import type { StockFile } from "../../scan/stock";
import { type ChecksFile, readChecksFile } from "../checks/checks";
import type { EditionFile } from "../checks/procedures";
import type { PrepFile } from "../stock/prep";

export interface Contact {
  name: string;
  role: string;
  tel: string;
}

/** The words of a blob `{salt, text}`; the blob itself where it is none. */
export function wordsIn(blob: string): string {
  const { text } = (jsonIn(blob) ?? {}) as { text?: unknown };
  return typeof text === "string" ? text : blob;
}

/** A frozen checks file; null for what is none. */
export function checksIn(blob: string): ChecksFile | null {
  return has(jsonIn(blob), "checks", "walks", "tiles") ? readChecksFile(blob) : null;
}

export function editionIn(blob: string): EditionFile | null {
  const file = jsonIn(blob);
  return has(file, "procedures", "texts") ? (file as EditionFile) : null;
}

export function stockIn(blob: string): StockFile | null {
  const file = jsonIn(blob);
  return has(file, "items", "labels", "revoked") ? (file as StockFile) : null;
}

export function prepIn(blob: string): PrepFile | null {
  const file = jsonIn(blob);
  return has(file, "cases", "truck", "picks") ? (file as PrepFile) : null;
}

/** The contacts in a blob's words, each with a name and a number. */
export function contactsIn(words: string): Contact[] {
  const all = jsonIn(words);
  return Array.isArray(all) ? all.filter((one) => isText(one?.name) && isText(one.tel)) : [];
}

function isText(value: unknown): boolean {
  return typeof value === "string";
}

function jsonIn(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** Whether a file has these members, each a list or an object. */
function has(file: unknown, ...members: string[]): boolean {
  const own = Object(file) as Record<string, unknown>;
  return members.every((name) => typeof own[name] === "object" && own[name] !== null);
}
