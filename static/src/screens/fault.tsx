/** Writing a fault: how bad, what, and a note if it helps. */

import { useState } from "preact/hooks";
import { append, procedures, texts } from "../ui/app";
import { Page } from "../ui/parts";
import { faultFor } from "../walk/answering";
import type { Check } from "../walk/checks";
import { placeInWords } from "../walk/places";
import type { Show } from "../walk/show";
import { checkInWords } from "./check";

const WEIGHTS = ["stop", "show", "cosmetic"];

export function FaultForm({
  show,
  wall,
  check,
  onDone,
}: {
  show: Show;
  wall: string;
  check: Check;
  onDone: () => void;
}) {
  const t = texts();
  const [weight, setWeight] = useState("");
  const [reason, setReason] = useState("");
  const [note, setNote] = useState("");
  const [missing, setMissing] = useState(false);
  const reasons = procedures.value[check.procedure]?.reasons ?? { damaged: "" };
  const { book } = show.membership;

  async function write() {
    setMissing(!weight || !reason);
    if (!weight || !reason) return;
    const notes: Record<string, string> = note.trim() ? { note_blob: note.trim() } : {};
    const body = faultFor(show.plans.get(wall)?.id ?? "", check.id, weight, reason);
    if (await append(book, "found", body, notes)) onDone();
  }

  return (
    <Page book={book} title={t("fault.title")}>
      <p>
        {placeInWords(t, check.id.split("/").slice(1, -1).join("/"))} · {checkInWords(check)}
      </p>
      <fieldset class="choices">
        <legend>{t("fault.weight")}</legend>
        {WEIGHTS.map((key) => (
          <label key={key} class={`choice ${key}`}>
            <input
              type="radio"
              name="weight"
              value={key}
              checked={weight === key}
              onChange={() => setWeight(key)}
            />
            <span>
              <strong>{t(`fault.${key}`)}</strong> {t(`fault.${key}_means`)}
            </span>
          </label>
        ))}
      </fieldset>
      {weight === "stop" && (
        <p class="notice shout" role="alert">
          {t("fault.shout")}
        </p>
      )}
      <fieldset class="choices reasons">
        <legend>{t("fault.reason")}</legend>
        {Object.entries(reasons).map(([key, text]) => (
          <label key={key} class="choice">
            <input
              type="radio"
              name="reason"
              value={key}
              checked={reason === key}
              onChange={() => setReason(key)}
            />
            <span>{text || key}</span>
          </label>
        ))}
      </fieldset>
      <label>
        {t("fault.note")}
        <textarea rows={2} maxLength={500} value={note} onInput={(e) => setNote(e.currentTarget.value)} />
      </label>
      {missing && (
        <p class="wrong" role="alert">
          {t("fault.missing")}
        </p>
      )}
      <div class="steps">
        <button type="button" onClick={onDone}>
          {t("app.back")}
        </button>
        <button type="button" class="main alarm" data-test="write-fault" onClick={write}>
          {t("fault.do")}
        </button>
      </div>
    </Page>
  );
}
