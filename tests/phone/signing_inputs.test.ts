import { describe, expect, it } from "vitest";
import { chains } from "../../static/src/book/chain";
import { entryId, type KeptEntry, readEntry } from "../../static/src/book/entry";
import {
  makeDeviceKey,
  otherForm,
  publicMembers,
  sign,
  signingInput,
  thumbprint,
  verifies,
} from "../../static/src/book/jws";
import { at, must } from "../../static/src/book/must";
import { names } from "../../static/src/book/names";
import { Voids } from "../../static/src/book/trust";
import { why } from "../../static/src/book/why";
import { Show } from "../../static/src/walk/show/show";
import { STAGES } from "../../static/src/walk/stock/cases";
import { statuses } from "../../static/src/walk/stock/warehouse";
import chainVectors from "../vectors/chains.json";
import vectors from "../vectors/signing_inputs.json";

// biome-ignore lint/suspicious/noExplicitAny: scenes expect different things.
type Any = any;
type Form = "low" | "high";
interface Text {
  name: string;
  form: Form;
  verdict?: string;
  void?: string | null;
}

const ME = { title: "", ownerFingerprint: "", device: "nobody", person: "nobody", name: "", role: "crew" };
const scenes: Any[] = vectors.scenes;

const textOf = (scene: Any, { name, form }: Text) =>
  `${scene.entries[name].input}.${scene.entries[name][form]}`;

/** Texts as leaves of a book, each judged. */
async function leavesOf(scene: Any, texts: Text[]): Promise<{ entries: KeptEntry[]; voids: Voids }> {
  const voids = new Voids();
  const entries: KeptEntry[] = [];
  for (const [index, text] of texts.entries()) {
    const entry = await readEntry(textOf(scene, text), index);
    entries.push({ ...entry, void: voids.judge(entry) });
  }
  return { entries, voids };
}

function showOf(...batches: KeptEntry[][]): Show {
  const show = new Show({ ...ME, book: vectors.book });
  for (const batch of batches) show.add(batch);
  return show;
}

/** What a book comes to, in the terms of the scene. */
function cameTo(scene: Any, show: Show, entries: KeptEntry[], voids: Voids): Any {
  const { expect: expected } = scene;
  const nameOf = (id: string) =>
    Object.entries<Any>(scene.entries).find(
      ([, entry]) => id === entry.low_id || id === entry.high_id,
    )?.[0] ?? id;
  const named = (ids: string[]) => ids.map(nameOf).sort();
  const each = (of: string, told: (key: string) => Any) =>
    Object.fromEntries(Object.keys(expected[of] ?? {}).map((key) => [key, told(key)]));
  const all: Record<string, () => Any> = {
    states: () =>
      each("states", (check) => {
        const { state, weight, standing } = show.fold.state(check);
        return [state, weight, named(standing)];
      }),
    why: () =>
      each("why", (check) => {
        const { key, acts, others } = why(show.fold, check);
        return [key, named(acts), named(others)];
      }),
    plans: () => each("plans", (wall) => nameOf(show.plans.get(wall)?.id ?? "")),
    bindings: () => named(show.bindings.standing().map(({ id }) => id)),
    cases: () =>
      each("cases", (named) => {
        const stage = must(STAGES.find((known) => known === named));
        const boxes = Object.keys(expected.cases[stage]);
        return Object.fromEntries(boxes.map((box) => [box, show.cases.itemsIn(stage, box)]));
      }),
    sightings: () => each("sightings", (item) => named(show.cases.sightingsOf("load_in", item))),
    shut: () => each("shut", (box) => show.cases.state("load_in", box, []).shut),
    bench: () =>
      each("bench", (item) => {
        const { status, since } = statuses(show)(item);
        return [status, nameOf(since)];
      }),
    countersigned: () =>
      each("countersigned", (handover) => {
        const entry = must(show.entries.get(scene.entries[handover].low_id));
        return named(show.records.answersTo(entry).map(({ id }) => id));
      }),
    sign_offs: () =>
      Object.fromEntries(
        show
          .signOffs("A")
          .map(({ entry, lapse }) => [
            nameOf(entry.id),
            lapse && { plan_differs: lapse.planDiffers, worse: lapse.worse },
          ]),
      ),
    admitted: () => each("admitted", (who) => voids.trust.admits(scene.devices[who].device)),
    flags: () => Object.fromEntries(chains(entries.filter((entry) => entry.void === null)).flags),
  };
  return Object.fromEntries(Object.keys(expected).map((key) => [key, must(all[key])()]));
}

describe("an entry in both forms", () => {
  it("is one signing input, two texts that verify and two ids that name it", async () => {
    const jwks = Object.values(vectors.keys).map(publicMembers);
    const thumbprints = await Promise.all(jwks.map(thumbprint));
    const keys = new Map(jwks.map((jwk, i) => [thumbprints[i], jwk]));
    for (const scene of scenes) {
      for (const [name, told] of Object.entries<Any>(scene.entries)) {
        const [low, high] = [textOf(scene, { name, form: "low" }), textOf(scene, { name, form: "high" })];
        expect([otherForm(low), otherForm(high)]).toEqual([high, low]);
        expect([signingInput(low), signingInput(high)]).toEqual([told.input, told.input]);
        expect([await entryId(low), await entryId(high)]).toEqual([told.low_id, told.high_id]);
        const entry = await readEntry(high, null);
        const key = must(keys.get(entry.device));
        expect([await verifies(low, key), await verifies(high, key)]).toEqual([true, true]);
        expect([entry.id, entry.otherId]).toEqual([told.high_id, told.low_id]);
        expect([names(entry, told.low_id), names(entry, told.high_id), names(entry, "")]).toEqual([
          true,
          true,
          false,
        ]);
      }
    }
  });

  it("is signed low, and verifies in its other form too", async () => {
    const key = await makeDeviceKey();
    const half = BigInt(`0x${vectors.order_hex}`) / 2n;
    for (let i = 0; i < 20; i++) {
      const text = await sign(key, "seamwalk-entry", { i });
      const bytes = Buffer.from(at(text.split("."), 2), "base64url");
      expect(BigInt(`0x${bytes.subarray(32).toString("hex")}`) <= half).toBe(true);
      expect([await verifies(text, key.jwk), await verifies(otherForm(text), key.jwk)]).toEqual([true, true]);
    }
  });

  it("has no other form where it has no signature of ES256", () => {
    const scalars = (r: string, s: string) => Buffer.from(r + s, "hex").toString("base64url");
    const one = "1".padStart(64, "0");
    for (const wrong of [
      scalars(one, "0".repeat(64)),
      scalars(one, vectors.order_hex),
      scalars(one, one.slice(2)),
      "",
    ]) {
      expect(() => otherForm(`a.b.${wrong}`)).toThrow("not an ES256 signature");
    }
  });
});

describe("books with texts in both forms", () => {
  for (const scene of scenes) {
    it(scene.description, async () => {
      const texts: Text[] = scene.texts;
      const kept = scene.old ? texts : texts.filter(({ verdict }) => verdict === "kept");
      const { entries, voids } = await leavesOf(scene, kept);
      expect(entries.map((entry) => entry.void)).toEqual(kept.map((text) => text.void ?? null));
      expect(cameTo(scene, showOf(entries), entries, voids)).toEqual(scene.expect);
      expect(cameTo(scene, showOf(...entries.map((entry) => [entry])), entries, voids)).toEqual(scene.expect);
      const backwards = [...entries].reverse().map((entry) => [entry]);
      expect(cameTo(scene, showOf(...backwards), entries, voids)).toEqual(scene.expect);
    });

    if (scene.old) continue;
    it(`kept twice by an older server: ${scene.description}`, async () => {
      const texts: Text[] = scene.texts.filter(({ verdict }: Text) => verdict !== "held");
      const { entries, voids } = await leavesOf(scene, texts);
      expect(entries.map((entry) => entry.void)).toEqual(
        texts.map((text) => (text.verdict === "again" ? "twin" : (text.void ?? null))),
      );
      expect(cameTo(scene, showOf(entries), entries, voids)).toEqual(scene.expect);
      const unaware = entries.map((entry) => ({ ...entry, void: null }));
      const { states } = cameTo(scene, showOf(unaware), entries, voids);
      expect(states, "the sums alone know two forms of a text").toEqual(scene.expect.states);
    });
  }
});

describe("what entries say of each other by n and prev", () => {
  for (const scene of chainVectors.cases) {
    it(scene.description, () => {
      const links = scene.entries.map(({ other, ...link }) => ({ ...link, otherId: other }));
      for (const order of [links, [...links].reverse()]) {
        const { flags, gaps } = chains(order);
        expect(Object.fromEntries(flags)).toEqual(scene.flags);
        expect(Object.fromEntries(gaps)).toEqual(scene.gaps);
      }
    });
  }
});
