import { describe, expect, it } from "vitest";
import type { EntryType, KeptEntry } from "../../static/src/book/entry";
import { inTheWay } from "../../static/src/book/signoff";
import { why } from "../../static/src/book/why";
import { Show } from "../../static/src/walk/show";
import books from "../vectors/books.json";

const BOOK = "b0000000000000001";
const me = { book: BOOK, title: "", ownerFingerprint: "", device: "nobody", person: "nobody", name: "", role: "crew" };

// biome-ignore lint/suspicious/noExplicitAny: written-down bodies differ by type.
type Any = any;

/** The scene's entries as a phone keeps them; here a name is an id. */
function entriesOf(scene: Any): KeptEntry[] {
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
  return { id, jws: "", book: BOOK, type, device, n: 1, at: "", body: {}, index };
}

function check(scene: Any, show: Show): void {
  const expected = scene.expect;
  for (const [id, [state, weight, standing]] of Object.entries<Any>(expected.states ?? {})) {
    expect(show.fold.state(id)).toEqual({ state, weight, standing });
  }
  for (const [id, [key, acts, others]] of Object.entries<Any>(expected.why ?? {})) {
    expect(why(show.fold, id)).toEqual({ key, acts, others });
  }
  for (const [wall, plan] of Object.entries(expected.plans ?? {})) expect(show.plans.get(wall)?.id).toBe(plan);
  const signOffs = show.signOffs("A").map(({ entry, lapse }) => [entry.id, lapse && [lapse.planDiffers, lapse.worse]]);
  expect(Object.fromEntries(signOffs)).toEqual(expected.sign_offs ?? {});
  if (expected.planned) {
    const found = inTheWay(expected.planned, show.states("A")).map((item) => [item.check, item.why]);
    expect(found).toEqual(expected.in_the_way);
  }
}

describe("written-down books", () => {
  for (const scene of books.scenes) {
    it(scene.description, () => {
      const entries = entriesOf(scene);
      const inOrder = new Show(me);
      for (const entry of entries) inOrder.add([entry]);
      check(scene, inOrder);
      const backwards = new Show(me);
      for (const entry of [...entries].reverse()) backwards.add([entry]);
      check(scene, backwards);
    });
  }
});
