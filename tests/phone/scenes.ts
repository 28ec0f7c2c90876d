/** Written-down books as a phone keeps them. */

import type { EntryType, KeptEntry } from "../../static/src/book/entry";

const BOOK = "b0000000000000001";
export const me = { book: BOOK, title: "", ownerFingerprint: "", device: "nobody", person: "nobody", name: "", role: "crew" };

// biome-ignore lint/suspicious/noExplicitAny: written-down bodies differ by type.
export type Any = any;

/** The scene's entries as a phone keeps them; here a name is an id. */
export function entriesOf(scene: Any): KeptEntry[] {
  const base = 1 + Object.keys(scene.devices).length;
  const admitted = Object.entries(scene.devices).map(([device, person], i) => ({
    ...kept("device_admitted", `admitted-${device}`, "office", i + 1),
    body: { device, person, name_blob: "" },
  }));
  const counts: Record<string, number> = {};
  const own = scene.entries.map((entry: Any, i: number) => {
    counts[entry.device] = (counts[entry.device] ?? 0) + 1;
    const body = JSON.parse(JSON.stringify(entry.body).replaceAll('"@', '"'));
    if (body.over !== undefined) Object.assign(body, { epoch: 1, size: base + body.over });
    const n = entry.n ?? counts[entry.device];
    return { ...kept(entry.type, entry.id, entry.device, base + i), n, at: entry.at ?? "2026-11-20T22:00:00.000Z", body };
  });
  return [...admitted, ...own];
}

function kept(type: EntryType, id: string, device: string, index: number): KeptEntry {
  const ids = { id, otherId: `${id}'`, prev: null };
  return { ...ids, jws: "", book: BOOK, type, device, n: 1, at: "", body: {}, index, void: null };
}
