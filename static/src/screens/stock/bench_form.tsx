/** One step at the bench, as a form: what came of it, what was mended with which parts, how long it took. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { append, texts } from "../../ui/app";
import { Choices, type Fill, Note, noteOf, useFields, Wrong } from "../../ui/fields";
import { useHalfEntered } from "../../ui/half_entered";
import { PhotoButton } from "../../ui/photos";
import { SteadyButton } from "../../ui/steady";
import { partInWords } from "../../ui/tile_drawing";
import type { Show } from "../../walk/show/show";
import parts from "../../walk/stock/parts.json";
import { Drawings } from "./look";

export type Step = keyof typeof parts.bench;

interface Filled {
  result: string;
  mended: string[];
  /** Parts used and minutes, as they are typed. */
  used: string;
  minutes: string;
  photos: string[];
  note: string;
}

const EMPTY: Filled = { result: "", mended: [], used: "", minutes: "", photos: [], note: "" };

export function StepForm({ show, code, step }: { show: Show; code: string; step: Step }) {
  const t = texts();
  const { book } = show.membership;
  const [begun] = useState(Date.now());
  const [filled, fill] = useFields(EMPTY);
  const { result, minutes, photos, note } = filled;
  const used = readUsed(filled.used);
  useHalfEntered(JSON.stringify(filled) !== JSON.stringify(EMPTY));
  const spent = minutes === "" ? Math.round((Date.now() - begun) / 60_000) : Number(minutes);

  async function write() {
    const repair = step === "repair" ? { mended: filled.mended, used: used ?? {} } : {};
    const body = { item: code, step, result, minutes: spent, photo_blobs: photos, ...repair };
    await append(book, "item_benched", body, noteOf(note));
  }

  return (
    <>
      <Choices
        legend={t(`bench.${step}_ask`)}
        name="result"
        keys={parts.bench[step]}
        chosen={result}
        onPick={(key) => fill({ result: key })}
        word={(key) => said(t, `bench.${step}`, key)}
      />
      {step === "repair" && <Mended show={show} code={code} filled={filled} fill={fill} />}
      <label>
        {t("bench.minutes")}
        <input
          inputMode="numeric"
          value={minutes}
          placeholder={String(spent)}
          onInput={(event) => fill({ minutes: event.currentTarget.value })}
        />
      </label>
      <PhotoButton book={book} names={photos} onChange={(names) => fill({ photos: names })} />
      <Note value={note} onType={(text) => fill({ note: text })} />
      <SteadyButton
        of="write-step"
        class="main"
        test="write-step"
        disabled={result === "" || used === null || !Number.isInteger(spent) || spent < 0}
        onClick={write}
      >
        {t("bench.write")}
      </SteadyButton>
    </>
  );
}

/** What a repair mended, on the drawings of the thing, and the parts that it took. */
function Mended({
  show,
  code,
  filled: { mended, used },
  fill,
}: {
  show: Show;
  code: string;
  filled: Filled;
  fill: Fill<Filled>;
}) {
  const t = texts();
  const toggle = (part: string) =>
    fill({ mended: mended.includes(part) ? mended.filter((name) => name !== part) : [...mended, part] });
  return (
    <>
      <p>{t("bench.mended")}</p>
      <Drawings show={show} code={code} marked={new Set(mended)} onPick={toggle} />
      <p class="fine">{mended.map((part) => partInWords(part)).join(" · ")}</p>
      <label>
        {t("bench.used")}
        <input
          value={used}
          placeholder="lock_spring 2"
          onInput={(event) => fill({ used: event.currentTarget.value })}
        />
      </label>
      {readUsed(used) === null && <Wrong>{t("bench.used_wrong")}</Wrong>}
    </>
  );
}

/** `lock_spring 2, screw_m4 6` as parts and counts; null for what is not written so. */
export function readUsed(text: string): Record<string, number> | null {
  const items = text.split(",").map((item) => item.trim());
  const found: Record<string, number> = {};
  for (const item of items.filter((one) => one !== "")) {
    const read = /^([a-z][a-z0-9_]{0,39})(?:\s+([1-9]\d{0,2}))?$/.exec(item);
    if (read === null) return null;
    const [, part = "", count = "1"] = read;
    found[part] = Number(count);
  }
  return found;
}
