import { describe, expect, it } from "vitest";
import { inTheWay } from "../../static/src/book/signoff";
import { why } from "../../static/src/book/why";
import { Show } from "../../static/src/walk/show/show";
import books from "../vectors/books.json";
import { type Any, entriesOf, me } from "./scenes";

function check(scene: Any, show: Show): void {
  const expected = scene.expect;
  for (const [id, [state, weight, standing]] of Object.entries<Any>(expected.states ?? {})) {
    expect(show.fold.state(id)).toEqual({ state, weight, standing });
  }
  for (const [id, [key, acts, others]] of Object.entries<Any>(expected.why ?? {})) {
    expect(why(show.fold, id)).toEqual({ key, acts, others });
  }
  for (const [wall, plan] of Object.entries(expected.plans ?? {}))
    expect(show.plans.get(wall)?.id).toBe(plan);
  const signOffs = show
    .signOffs("A")
    .map(({ entry, lapse }) => [entry.id, lapse && [lapse.planDiffers, lapse.worse]]);
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
