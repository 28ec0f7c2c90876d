/** One check of a stop: its state, what stands there, and what can be said of it alone. */

import type { ComponentChildren } from "preact";
import type { EntryOf, KeptEntry } from "../../book/entry";
import { said } from "../../texts";
import { reasonInWords, textOf, texts } from "../../ui/app";
import { clock, Shape } from "../../ui/parts";
import { Photo } from "../../ui/photos";
import { useStateOf } from "../../ui/state_of";
import type { Check } from "../../walk/checks/checks";
import { checkIdInWords } from "../../walk/checks/places";
import { sentence } from "../../walk/findings/reasons";
import { isSameHands, maySecond, secondLookFault, standsAs } from "../../walk/findings/second_look";
import type { Show } from "../../walk/show/show";
import { whoOf } from "../people";

export interface Saying {
  onOk: () => void;
  onFault: () => void;
  onNotReached: () => void;
  onHow: () => void;
}

export function CheckRow({
  show,
  check,
  words,
  waits,
  onOk,
  onFault,
  onNotReached,
  onHow,
}: { show: Show; check: Check; words: ComponentChildren; waits: boolean } & Saying) {
  const t = texts();
  const [opened, setOpened] = useStateOf(check.id, () => false);
  const state = standsAs(show.fold, check.id);
  const standing = show.standing(check.id);
  const word = t(waits ? "state.waits" : `state.${state.weight ?? state.state}`);
  const faulty = state.state === "fault";
  const mayOk = maySecond(show.fold, check.id, show.me());
  return (
    <li
      class={`check ${state.weight ?? state.state} ${waits ? "waits" : ""}`}
      data-test="check"
      data-check={check.id}
      data-shows={check.id}
      data-state={state.state}
    >
      <div class="line">
        <button type="button" class="name" aria-expanded={opened} onClick={() => setOpened(!opened)}>
          <Shape state={state} />
          <span>
            {words} <em>{word}</em>
          </span>
        </button>
        {show.may("found") && (
          <button type="button" class="fault" data-test="fault" onClick={onFault}>
            {t("walk.fault")}
          </button>
        )}
      </div>
      {standing
        .filter((entry) => isOwn(entry, check))
        .map((entry) => (
          <StandingFault key={entry.id} show={show} entry={entry} />
        ))}
      {secondLookFault(show.fold, check.id) === "too_early" && <p class="why">{t("sign.too_early")}</p>}
      {(opened || standing.length > 0) && (
        <p class="why" data-test="why">
          {whyInWords(show, check.id)}
        </p>
      )}
      {show.may("found") && (!mayOk || isSameHands(show.fold, check.id)) && (
        <p class="notice">{t("walk.other_person")}</p>
      )}
      {show.may("found") && (opened || faulty) && (
        <div class="alone">
          <button type="button" data-test="check-how" onClick={onHow}>
            {t("walk.how")}
          </button>
          <button type="button" data-test="check-ok" disabled={!mayOk} onClick={onOk}>
            {faulty ? t("walk.check_answer") : t("walk.check_ok")}
          </button>
          <button type="button" class="quiet" data-test="not-reached" onClick={onNotReached}>
            {t("walk.not_reached")}
          </button>
        </div>
      )}
    </li>
  );
}

/** Whether an entry is about a check itself, and no fault elsewhere that only opened it again. */
function isOwn(entry: EntryOf<"found" | "swapped">, check: Check): boolean {
  return entry.type === "swapped" || entry.body.checks.includes(check.id);
}

function StandingFault({ show, entry }: { show: Show; entry: EntryOf<"found" | "swapped"> }) {
  const t = texts();
  const { book } = show.membership;
  const fault = entry.type === "found" ? entry.body : null;
  const reason = reasonInWords(show, fault?.reason);
  const weight = fault ? said(t, "state", fault.weight ?? "") : t("state.reopened");
  return (
    <p class="standing">
      <strong>{weight}</strong> {reason} {entry.body.note_blob && <q>{textOf(book, entry.body.note_blob)}</q>}{" "}
      <span class="fine">{t("fault.by", { who: whoOf(show, entry), at: clock(entry.at) })}</span>
      {(entry.body.photo_blobs ?? []).map((name) => (
        <Photo key={name} book={book} name={name} />
      ))}
    </p>
  );
}

/** Why a check stands as it does. */
export function whyInWords(show: Show, check: string): string {
  const { key, by, other } = sentence(show, check);
  const words = (entry: KeptEntry | null) =>
    entry ? { who: whoOf(show, entry), at: clock(entry.at) } : null;
  const [mine, theirs] = [words(by), words(other)];
  return texts()(key, {
    who: mine?.who ?? "",
    at: mine?.at ?? "",
    other: theirs?.who ?? "",
    otherAt: theirs?.at ?? "",
  });
}

export function checkInWords(check: Check): string {
  return checkIdInWords(texts(), check.id);
}
