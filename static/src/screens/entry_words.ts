/** An entry in a few words, for whoever made it. */

import { type KeptEntry, UNREADABLE } from "../book/entry";
import { groupedCode } from "../scan/codes";
import { said, type T } from "../texts";
import { texts } from "../ui/app";
import { checkPlaceInWords } from "../walk/checks/places";

/** What an entry says and of what; its type where there are no words for it. */
export function entryInWords(entry: KeptEntry): string {
  const t = texts();
  const { type, said: written, body } = entry;
  if (type === UNREADABLE) return written;
  const where = thingsInWords(entry) || checksInWords(t, checksOf(entry));
  return said(t, "entry", type === "found" ? body.result : type, { where });
}

/** The checks that an entry is about. */
function checksOf({ type, body }: KeptEntry): string[] {
  if (type === "found") return body.checks;
  return type === "swapped" ? body.reopens : [];
}

function checksInWords(t: T, checks: string[]): string {
  const first = checks[0] ? checkPlaceInWords(t, checks[0]) : "";
  return checks.length > 1 ? t("entry.many", { where: first, n: checks.length - 1 }) : first;
}

/** The label codes of the things that an entry is about, and of the case that they are in. */
function thingsInWords(entry: KeptEntry): string {
  const codes = itemsOf(entry);
  const more = codes.length > 2 ? [`+${codes.length - 2}`] : [];
  const box = isOfCase(entry) && entry.body.case ? [groupedCode(entry.body.case)] : [];
  return [...codes.slice(0, 2).map(groupedCode), ...more, ...box].join(", ");
}

function itemsOf(entry: KeptEntry): string[] {
  const { type, body } = entry;
  if (isOfCase(entry) || type === "hire_handed_over") return body.items;
  const isOfOne = type === "tile_bound" || type === "item_looked_at" || type === "item_benched";
  return isOfOne && body.item ? [body.item] : [];
}

function isOfCase({ type }: KeptEntry): boolean {
  return type === "item_seen" || type === "case_closed";
}
