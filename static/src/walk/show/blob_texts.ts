/** What stands in blobs: words with their salt, and files that the office made; whatever else is there is shown raw. */

import type { StockFile } from "../../scan/stock";
import { type ChecksFile, readChecksFile } from "../checks/checks";
import type { EditionFile } from "../checks/procedures";
import type { ChecksFile as FrozenFile, PrepFile } from "../files";

/** Somebody to call; `tel` as it was typed. */
export interface Contact {
  name: string;
  role: string;
  tel: string;
}

/** The words of a blob `{salt, text}`; the blob itself if it is not one. */
export function wordsIn(blob: string): string {
  const text: unknown = Object(jsonIn(blob)).text;
  return typeof text === "string" ? text : blob;
}

/** A frozen checks file; null if the blob is not one. */
export function checksIn(blob: string): ChecksFile | null {
  const file = jsonIn(blob);
  return isFile<FrozenFile>(file, "checks", "walks", "tiles") ? readChecksFile(file) : null;
}

/** The file of an edition of the procedures; null if the blob is not one. */
export function editionIn(blob: string): EditionFile | null {
  const file = jsonIn(blob);
  return isFile<EditionFile>(file, "procedures", "texts") ? file : null;
}

/** A stock list; null if the blob is not one. */
export function stockIn(blob: string): StockFile | null {
  const file = jsonIn(blob);
  return isFile<StockFile>(file, "items", "labels", "revoked") ? file : null;
}

/** A show's prep; null if the blob is not one. */
export function prepIn(blob: string): PrepFile | null {
  const file = jsonIn(blob);
  return isFile<PrepFile>(file, "cases", "truck", "picks") ? file : null;
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

/** Whether a file of the office's is of a kind: it has these members, each a list or an object. */
function isFile<F>(file: unknown, ...members: (keyof F & string)[]): file is F {
  const own = Object(file);
  return members.every((name) => typeof own[name] === "object" && own[name] !== null);
}
