/** A tap ahead of its turn: what is not there yet and where, and a reason why it is given all the same. */

import { signal } from "@preact/signals";
import { useState } from "preact/hooks";
import { statuses, texts } from "../../ui/app";
import { Choices, Note, Ticks, useFields, Wrong } from "../../ui/fields";
import { leave, useHalfEntered } from "../../ui/half_entered";
import { clock, Page } from "../../ui/parts";
import { AHEAD_REASONS, type AheadReason, mayKeep } from "../../walk/checks/ahead";
import type { Before } from "../../walk/checks/order";
import { checkPlaceInWords, inFull } from "../../walk/checks/places";
import type { OnWalk } from "../place";
import { checkInWords } from "./check";

/** A reason with the words that explain it. */
export interface Given {
  reason: AheadReason;
  note: string;
}

/** Reasons that somebody gave for the rest of a walk, until this page is closed or they are ended. */
const kept = signal<ReadonlyMap<string, Given>>(new Map());
const MOST_LINES = 6;

function keyOf({ show, wall, walk }: OnWalk): string {
  return `${show.membership.book}/${wall}/${walk.key}`;
}

/** The reason that was given for the rest of a walk; null where each tap is asked. */
export function keptReason(at: OnWalk): Given | null {
  return kept.value.get(keyOf(at)) ?? null;
}

/** What is missing, a reason, and whether it is for the rest of the walk too; `isSecond` where a second look is among it. */
export function AheadForm({
  before,
  checks,
  isSecond,
  onGiven,
  onLeave,
  ...at
}: OnWalk & {
  before: Before;
  checks: string[];
  isSecond: boolean;
  onGiven: (given: Given) => void;
  onLeave: () => void;
}) {
  const t = texts();
  const [filled, fill] = useFields({ reason: null as AheadReason | null, note: "", keep: false });
  const [wrong, setWrong] = useState(false);
  useHalfEntered(filled.reason !== null || filled.note !== "");

  function give() {
    const { reason, note, keep } = filled;
    if (reason === null || (reason === "other" && !note.trim())) {
      setWrong(true);
      return;
    }
    if (keep) kept.value = new Map(kept.value).set(keyOf(at), { reason, note });
    onGiven({ reason, note });
  }

  return (
    <Page book={at.show.membership.book} title={t("ahead.title")}>
      <p data-test="ahead-of">{t("ahead.what", { n: checks.length, first: inFull(t, checks[0] ?? "") })}</p>
      <Missing {...at} before={before} />
      {isSecond && <p class="notice">{t("ahead.second")}</p>}
      <Choices
        legend={t("ahead.why")}
        name="ahead"
        keys={AHEAD_REASONS}
        chosen={filled.reason}
        onPick={(reason) => fill({ reason })}
        word={(key) => t(`ahead.${key}`)}
      />
      <Note value={filled.note} onType={(note) => fill({ note })} />
      {mayKeep(before) && (
        <Ticks
          legend={t("ahead.area")}
          keys={["keep"] as const}
          isOn={() => filled.keep}
          onTick={(_, keep) => fill({ keep })}
          word={() => t("ahead.keep")}
        />
      )}
      {wrong && <Wrong>{t("ahead.reason_needed")}</Wrong>}
      <div class="steps">
        <button type="button" onClick={() => leave(onLeave)}>
          {t("app.back")}
        </button>
        <button type="button" class="main other" data-test="write-ahead" onClick={give}>
          {t("ahead.do")}
        </button>
      </div>
    </Page>
  );
}

/** What is not there yet as far as this phone knows, which may be less than others know. */
function Missing({ show, file, before }: OnWalk & { before: Before }) {
  const t = texts();
  const status = statuses.value[show.membership.book];
  const { missing, holds, notOpened } = before;
  const wordsOf = (id: string) => {
    const check = file.checks.find((one) => one.id === id);
    return `${checkPlaceInWords(t, id)} · ${check ? checkInWords(check) : ""}`;
  };
  return (
    <>
      {holds.map(({ check, fault }) => (
        <p class="notice shout" key={fault.id}>
          {t("ahead.held", { place: wordsOf(check) })}
        </p>
      ))}
      {notOpened && <p class="notice">{t("ahead.not_opened")}</p>}
      {missing.length > 0 && (
        <>
          <p>{t("ahead.missing", { n: missing.length })}</p>
          <ul class="lines" data-test="missing">
            {missing.slice(0, MOST_LINES).map((id) => (
              <li key={id}>{wordsOf(id)}</li>
            ))}
            {missing.length > MOST_LINES && <li>{t("ahead.more", { n: missing.length - MOST_LINES })}</li>}
          </ul>
          <p class="fine">
            {status?.lastSyncAt ? t("ahead.synced", { at: clock(status.lastSyncAt) }) : t("ahead.never")}
          </p>
        </>
      )}
    </>
  );
}

/** The reason that holds for the rest of this walk, and the way to be asked again. */
export function KeptReason(at: OnWalk) {
  const t = texts();
  const given = keptReason(at);
  if (given === null) return null;
  const end = () => {
    const left = new Map(kept.value);
    left.delete(keyOf(at));
    kept.value = left;
  };
  return (
    <p class="notice" data-test="kept-reason">
      {t("ahead.kept", { reason: t(`ahead.${given.reason}`) })}{" "}
      <button type="button" class="quiet" onClick={end}>
        {t("ahead.ask_again")}
      </button>
    </p>
  );
}
