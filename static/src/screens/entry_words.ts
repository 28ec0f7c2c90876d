/** An entry in a few words, for whoever made it. */

import { isOf, type KeptEntry, UNREADABLE } from "../book/entry";
import { groupedCode } from "../scan/codes";
import { said, type T } from "../texts";
import { texts } from "../ui/app";
import { checkPlaceInWords } from "../walk/checks/places";

const OF_CASE = ["item_seen", "case_closed"] as const;
const OF_ONE = ["tile_bound", "item_looked_at", "item_benched"] as const;

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
  if (type === "stop_released") return [body.check];
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
  const box = isOf(entry, OF_CASE) && entry.body.case ? [groupedCode(entry.body.case)] : [];
  return [...codes.slice(0, 2).map(groupedCode), ...more, ...box].join(", ");
}

function itemsOf(entry: KeptEntry): string[] {
  if (isOf(entry, [...OF_CASE, "hire_handed_over"])) return entry.body.items;
  return isOf(entry, OF_ONE) && entry.body.item ? [entry.body.item] : [];
}
