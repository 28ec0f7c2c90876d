/** Written-down books as a phone keeps them. */

import type { KeptEntry } from "../../static/src/book/entry";
import { keptEntry } from "./entries";

const BOOK = "b0000000000000001";
export const me = {
  book: BOOK,
  title: "",
  ownerFingerprint: "",
  device: "nobody",
  person: "nobody",
  name: "",
  role: "crew",
};

// biome-ignore lint/suspicious/noExplicitAny: written-down bodies differ by type.
export type Any = any;

/** The scene's entries as a phone keeps them; here a name is an id. */
export function entriesOf(scene: Any): KeptEntry[] {
  const base = 1 + Object.keys(scene.devices).length;
  const admitted = Object.entries(scene.devices).map(([device, person], i) => {
    const more = { id: `admitted-${device}`, device: "office", n: 1, index: i + 1 };
    return keptEntry("device_admitted", { device, person, name_blob: "" }, { book: BOOK, ...more });
  });
  const counts: Record<string, number> = {};
  const own = scene.entries.map((entry: Any, i: number) => {
    counts[entry.device] = (counts[entry.device] ?? 0) + 1;
    const body = JSON.parse(JSON.stringify(entry.body).replaceAll('"@', '"'));
    if (body.over !== undefined) Object.assign(body, { epoch: 1, size: base + body.over });
    const { id, device, n = counts[device], at } = entry;
    const more = { book: BOOK, id, device, n, index: base + i, ...(at && { at }) };
    return keptEntry(entry.type, body, more);
  });
  return [...admitted, ...own];
}
