/**
 * A replica of another language: reads books as JSON lines, adds their texts up as the phone does, writes the states.
 * What it had of a book before, under whichever form of its signatures, gives way to what the book keeps.
 */

import { createInterface } from "node:readline";
import { bothIds, type KeptEntry, parseLeaf } from "../../static/src/book/entry";
import { must } from "../../static/src/book/must";
import { Voids } from "../../static/src/book/trust";
import { Show } from "../../static/src/walk/show/show";

const BOOK = "b";
const membership = {
  book: BOOK,
  title: "",
  ownerFingerprint: "",
  device: "",
  person: "",
  name: "",
  role: "crew",
};

interface Told {
  /** Texts that no head covered yet. */
  before: { jws: string; index: null }[];
  /** In an order of their own. */
  entries: { jws: string; index: number }[];
  states: Record<string, unknown>;
}

async function read({ jws, index }: { jws: string; index: number | null }): Promise<KeptEntry> {
  return parseLeaf(jws, await bothIds(jws), BOOK, index);
}

for await (const line of createInterface({ input: process.stdin })) {
  const { before, entries: told, states }: Told = JSON.parse(line);
  const entries = await Promise.all(told.map(read));
  const voids = new Voids();
  const inOrder = [...entries].sort((a, b) => must(a.index) - must(b.index));
  for (const entry of inOrder) entry.void = voids.judge(entry);
  const show = new Show(membership);
  show.add(await Promise.all(before.map(read)));
  for (const entry of entries) show.add([entry]);
  const found = Object.keys(states).map((check) => {
    const { state, weight, standing } = show.fold.state(check);
    return [check, [state, weight, standing]];
  });
  process.stdout.write(`${JSON.stringify(Object.fromEntries(found))}\n`);
}
