/** Writing a fault: how bad, what, and a note if it helps. */

import { useState } from "preact/hooks";
import { append, editionOf, reasonInWords, texts } from "../../ui/app";
import { Page } from "../../ui/parts";
import { PhotoButton } from "../../ui/photos";
import { faultFor } from "../../walk/checks/answering";
import type { Check, ChecksFile } from "../../walk/checks/checks";
import { checkPlaceInWords } from "../../walk/checks/places";
import { type Reading, readingsOf } from "../../walk/checks/procedures";
import type { Show } from "../../walk/show/show";
import { checkInWords } from "./check";
import type { Ended } from "./procedure";

const WEIGHTS = ["stop", "show", "cosmetic"] as const;

/** `from` is the procedure that ended in the fault. */
export function FaultForm({
  show,
  wall,
  file,
  check,
  from,
  onDone,
}: {
  show: Show;
  wall: string;
  file: ChecksFile;
  check: Check;
  from: Ended | null;
  onDone: () => void;
}) {
  const t = texts();
  const [weight, setWeight] = useState("");
  const [reason, setReason] = useState(from?.end.fault ?? "");
  const [note, setNote] = useState("");
  const [missing, setMissing] = useState(false);
  const [photos, setPhotos] = useState(from?.photos ?? []);
  const edition = editionOf(show);
  const reasons = edition?.procedure(from?.run.procedure.key ?? check.procedure)?.reasons ?? ["damaged"];
  const named = from?.end.both ? [check, ...ofBothTiles(file, check)] : [check];
  const { book } = show.membership;

  async function write() {
    setMissing(!weight || !reason);
    if (!weight || !reason) return;
    const notes: Record<string, string> = note.trim() ? { note_blob: note.trim() } : {};
    const ids = named.map(({ id }) => id);
    const readings: Reading[] = from ? readingsOf(from.run) : [];
    const seen = { readings, photo_blobs: photos };
    const body = { ...faultFor(show.plans.get(wall)?.id ?? "", ids, weight, reason), ...seen };
    if (await append(book, "found", body, notes)) onDone();
  }

  return (
    <Page book={book} title={t("fault.title")}>
      <p>
        {checkPlaceInWords(t, check.id)} · {checkInWords(check)}
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
        {reasons.map((key) => (
          <label key={key} class="choice">
            <input
              type="radio"
              name="reason"
              value={key}
              checked={reason === key}
              onChange={() => setReason(key)}
            />
            <span>{reasonInWords(show, key)}</span>
          </label>
        ))}
      </fieldset>
      {named.length > 1 && <p class="notice">{t("fault.both")}</p>}
      <PhotoButton book={book} names={photos} onChange={setPhotos} />
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

/** The condition of the tiles at a check: a joint that failed twice is a fault of both its tiles. */
function ofBothTiles(file: ChecksFile, check: Check): Check[] {
  return file.checks.filter(
    ({ kind, tiles }) => kind === "condition" && check.tiles.includes(tiles[0] ?? ""),
  );
}
