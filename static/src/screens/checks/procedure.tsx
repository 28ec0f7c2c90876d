/** A procedure, one step at a time: what to do, what was so, what was read off. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { editionOf, texts } from "../../ui/app";
import { Page } from "../../ui/parts";
import { PhotoButton } from "../../ui/photos";
import type { Edition } from "../../walk/checks/edition";
import {
  answered,
  back,
  begin,
  type End,
  type Limits,
  limitOf,
  type Run,
  type Step,
  standing,
} from "../../walk/checks/procedures";
import type { Show } from "../../walk/show/show";

export interface Ended {
  run: Run;
  end: End;
  photos: string[];
}

export interface Walked {
  show: Show;
  procedure: string;
  facts: Iterable<string>;
  limits: Limits;
  /** What is worth knowing beside each step, such as what goes dark. */
  beside?: Record<string, string>;
  where: string;
  onEnd: (ended: Ended) => void;
  onLeave: () => void;
}

export function ProcedureScreen(walked: Walked) {
  const t = texts();
  const { show, where, onLeave } = walked;
  const edition = editionOf(show);
  const procedure = edition?.procedure(walked.procedure) ?? null;
  if (edition === null || procedure === null) {
    return (
      <Page book={show.membership.book} title={t("walk.how")}>
        <p>{t("how.none")}</p>
        <button type="button" class="main" onClick={onLeave}>
          {t("app.back")}
        </button>
      </Page>
    );
  }
  return (
    <Page book={show.membership.book} title={edition.title(procedure.key)}>
      <p class="fine">{where}</p>
      <Steps {...walked} edition={edition} first={begin(procedure, walked.facts, walked.limits)} />
    </Page>
  );
}

function Steps({ edition, first, ...walked }: Walked & { edition: Edition; first: Run }) {
  const t = texts();
  const [run, setRun] = useState(first);
  const [photos, setPhotos] = useState<string[]>([]);
  const [wrong, setWrong] = useState<string | null>(null);
  const now = standing(run);
  const { key } = run.procedure;

  function answer(given: { choice?: string; value?: number; text?: string }) {
    const next = answered(run, given);
    if (typeof next === "string") {
      setWrong(next);
      return;
    }
    setWrong(null);
    const there = standing(next);
    if ("key" in there) setRun(next);
    else walked.onEnd({ run: next, end: there, photos });
    scrollTo(0, 0);
  }

  if (!("key" in now)) return null;
  return (
    <>
      {run.answers.length === 0 && (
        <ul class="cautions">
          {run.procedure.cautions.map((caution) => (
            <li key={caution}>{edition.caution(caution)}</li>
          ))}
        </ul>
      )}
      <section class="step" aria-live="polite" data-test="step" data-step={now.key}>
        <p class="fine">{t("how.step", { n: run.answers.length + 1 })}</p>
        <p class="do">{edition.step(key, now)}</p>
        {walked.beside?.[now.key] && <p class="notice">{walked.beside[now.key]}</p>}
      </section>
      {now.photo && (
        <PhotoButton book={walked.show.membership.book} names={photos} onChange={setPhotos} wished />
      )}
      <Asking
        key={`${now.key}/${run.answers.length}`}
        run={run}
        step={now}
        edition={edition}
        onAnswer={answer}
      />
      {wrong !== null && (
        <p class="wrong" role="alert">
          {said(t, "how", `wrong_${wrong}`, { min: now.input?.min ?? 0, max: now.input?.max ?? 0 })}
        </p>
      )}
      <div class="steps">
        <button type="button" class="quiet" onClick={walked.onLeave}>
          {t("how.leave")}
        </button>
        {run.answers.length > 0 && (
          <button type="button" class="quiet" data-test="step-back" onClick={() => setRun(back(run))}>
            {t("how.before")}
          </button>
        )}
      </div>
    </>
  );
}

/** What a step asks: a reading, words, a choice, or only that it was done. */
function Asking({
  run,
  step,
  edition,
  onAnswer,
}: {
  run: Run;
  step: Step;
  edition: Edition;
  onAnswer: (given: { choice?: string; value?: number; text?: string }) => void;
}) {
  const t = texts();
  const [value, setValue] = useState("");
  const [text, setText] = useState("");
  const { input } = step;
  const limit = input && limitOf(run, input);
  const given = () => ({
    ...(input ? { value: value.trim() === "" ? Number.NaN : Number(value.replace(",", ".")) } : {}),
    ...(step.text ? { text } : {}),
  });
  return (
    <div class="asking">
      {input && (
        <label>
          {edition.input(input.name)} ({said(t, "unit", input.unit)})
          <input
            inputMode="decimal"
            data-test="reading"
            value={value}
            onInput={(event) => setValue(event.currentTarget.value)}
          />
          <span class="fine">
            {limit !== null && t(input.under ? "how.least" : "how.most", { limit })}
            {limit === null && input.limit !== null && t("how.no_limit")}
          </span>
        </label>
      )}
      {step.text && (
        <label>
          {t("how.words")}
          <textarea
            rows={3}
            maxLength={1000}
            data-test="words"
            onInput={(e) => setText(e.currentTarget.value)}
          />
        </label>
      )}
      {step.choices.map((choice, number) => (
        <button
          type="button"
          key={choice.when}
          class={choice.fault !== null ? "main alarm" : number === 0 ? "main ok" : "main other"}
          data-test="choice"
          data-choice={choice.when}
          onClick={() => onAnswer({ ...given(), choice: choice.when })}
        >
          {edition.choice(choice.when)}
        </button>
      ))}
      {step.choices.length === 0 && (
        <button type="button" class="main ok" data-test="choice" onClick={() => onAnswer(given())}>
          {t("how.done")}
        </button>
      )}
    </div>
  );
}
