import { describe, expect, it } from "vitest";
import { isOf } from "../../static/src/book/entry";
import { type ChecksFile, readChecksFile } from "../../static/src/walk/checks/checks";
import { comingDown } from "../../static/src/walk/checks/order";
import { standsInTheWay, withoutPerson } from "../../static/src/walk/findings/in_the_way";
import { Show } from "../../static/src/walk/show/show";
import claims from "../vectors/claims.json";
import { type Any, entriesOf, me } from "./scenes";

const files: Record<string, object> = claims.files;

/** What the signer's phone has when it signs: what its head covers, and its own entries beyond. */
function atSigning(scene: Any, signOff: Any): Show {
  const { size, own } = signOff.body;
  const show = new Show(me);
  show.add(entriesOf(scene).filter((entry) => (entry.index ?? 0) < size || own.includes(entry.id)));
  return show;
}

/** Why a sign-off no longer stands when all entries are here. */
function lapseAtTheEnd(scene: Any, signOff: string): [boolean, string[]] | null {
  const show = new Show(me);
  show.add(entriesOf(scene));
  for (const [name, file] of Object.entries(files)) show.files.set(`%${name}`, file as ChecksFile);
  const lapse = show.signOffs("A").find(({ entry }) => entry.id === signOff)?.lapse;
  return lapse ? [lapse.planDiffers, lapse.worse] : null;
}

describe("what sign-offs claim", () => {
  for (const scene of claims.scenes) {
    it(scene.description, () => {
      for (const signOff of entriesOf(scene).filter((entry) => isOf(entry, ["signed_off"]))) {
        const expects: Record<string, Any> = scene.expect;
        const expected = expects[signOff.id];
        if (expected.unknown) continue;
        const { body } = signOff;
        const plans = entriesOf(scene).filter((entry) => isOf(entry, ["plan_set"]));
        const plan = plans.find(({ id }) => id === body.plan);
        const file = readChecksFile(JSON.parse(JSON.stringify(files[plan?.body.checks_file.slice(1) ?? ""])));
        const show = atSigning(scene, signOff);
        const down = comingDown(show, body.wall, file);
        const way = standsInTheWay(file, show.states(body.wall), show.fold, body.statement, down);
        expect(way.map(({ check, why }) => [check, why])).toEqual(expected.in_the_way);
        const used = body.exceptions.filter((item) => way.some(({ check }) => check === item.check));
        expect(withoutPerson(file, used)).toEqual(expected.unnamed);
        if ("lapse" in expected) expect(lapseAtTheEnd(scene, signOff.id)).toEqual(expected.lapse);
      }
    });
  }
});
