/** A replica of another language: reads books as JSON lines, adds their entries up as the phone does, writes the states. */

import { createInterface } from "node:readline";
import type { KeptEntry } from "../../static/src/book/entry";
import { Show } from "../../static/src/walk/show";

const membership = { book: "b", title: "", ownerFingerprint: "", device: "", person: "", name: "", role: "crew" };

for await (const line of createInterface({ input: process.stdin })) {
  const { entries, states }: { entries: KeptEntry[]; states: Record<string, unknown> } = JSON.parse(line);
  const show = new Show(membership);
  show.add(entries);
  const found = Object.keys(states).map((check) => {
    const { state, weight, standing } = show.fold.state(check);
    return [check, [state, weight, standing]];
  });
  process.stdout.write(`${JSON.stringify(Object.fromEntries(found))}\n`);
}
