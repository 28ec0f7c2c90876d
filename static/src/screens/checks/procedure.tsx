/** A procedure, one step at a time: what to do, what was so, what was read off. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { editionOf, texts } from "../../ui/app";
import { ContactsToCall } from "../../ui/contacts";
import { Wrong } from "../../ui/fields";
import { leave, useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { PhotoButton } from "../../ui/photos";
import { isSecondOfTwo } from "../../ui/steady";
import type { Edition } from "../../walk/checks/edition";
import {
  answered,
  back,
  begin,
  countOf,
  type End,
  type Given,
  type Input,
  type Limits,
  limitOf,
  nth,
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

/** A run of an edition's procedure, at the step that it stands at. */
interface At {
  edition: Edition;
  run: Run;
  step: Step;
}

/** What is typed at a step, kept while somebody goes back and forth. */
interface Typed {
  value: string;
  text: string;
}

const NOTHING: Typed = { value: "", text: "" };

function Steps({ edition, first, ...walked }: Walked & { edition: Edition; first: Run }) {
  const t = texts();
  const [run, setRun] = useState(first);
  const [typed, setTyped] = useState<Record<string, Typed>>({});
  const [photos, setPhotos] = useState<string[]>([]);
  const [wrong, setWrong] = useState<string | null>(null);
  const step = standing(run);
  useHalfEntered(run.answers.length > 0 || photos.length > 0 || Object.keys(typed).length > 0);
  // a step that comes again, as for the next point, begins empty: an old reading is no new one
  const here = "key" in step ? `${step.key}/${run.answers.length}` : "";
  const type = (part: Partial<Typed>) =>
    setTyped({ ...typed, [here]: { ...NOTHING, ...typed[here], ...part } });

  function answer(given: Given) {
    const next = answered(run, given);
    if (typeof next === "string") {
      setWrong(next);
      return;
    }
    goTo(next);
    const there = standing(next);
    if (!("key" in there)) walked.onEnd({ run: next, end: there, photos });
  }

  /** Stand at another step; an end is none, and is shown by whoever asked. */
  function goTo(next: Run) {
    setWrong(null);
    if ("key" in standing(next)) setRun(next);
    scrollTo(0, 0);
  }

  if (!("key" in step)) return null;
  const at = { edition, run, step };
  return (
    <>
      <Telling {...at} show={walked.show} beside={walked.beside?.[step.key]} />
      {step.photo && (
        <PhotoButton book={walked.show.membership.book} names={photos} onChange={setPhotos} wished />
      )}
      <Asking key={here} {...at} typed={typed[here] ?? NOTHING} onType={type} onAnswer={answer} />
      {wrong !== null && (
        <Wrong>
          {said(t, "how", `wrong_${wrong}`, { min: step.input?.min ?? 0, max: step.input?.max ?? 0 })}
        </Wrong>
      )}
      <div class="steps">
        <button type="button" class="quiet" data-test="leave" onClick={() => leave(walked.onLeave)}>
          {t("how.leave")}
        </button>
        {run.answers.length > 0 && (
          <button type="button" class="quiet" data-test="step-back" onClick={() => goTo(back(run))}>
            {t("how.before")}
          </button>
        )}
      </div>
    </>
  );
}

/** What to do at a step; before the first one, what to take care of. */
function Telling({ show, beside, ...at }: At & { show: Show; beside: string | undefined }) {
  const t = texts();
  const { edition, run, step } = at;
  const of = countOf(run, step);
  return (
    <>
      {run.answers.length === 0 && (
        <ul class="cautions">
          {run.procedure.cautions.map((caution) => (
            <li key={caution}>{edition.caution(caution)}</li>
          ))}
        </ul>
      )}
      <section class="step" aria-live="polite" data-test="step" data-step={step.key}>
        <p class="fine">{t("how.step", { n: run.answers.length + 1 })}</p>
        <p class="do">{edition.step(run.procedure.key, step)}</p>
        {of > 1 && <p class="notice">{t("how.point", { n: nth(run, step), of })}</p>}
        {beside && <p class="notice">{beside}</p>}
      </section>
      {step.call && <ContactsToCall show={show} />}
    </>
  );
}

/** What a step asks: a reading, words, a choice, or only that it was done. */
function Asking({
  typed: { value, text },
  onType,
  onAnswer,
  ...at
}: At & { typed: Typed; onType: (part: Partial<Typed>) => void; onAnswer: (given: Given) => void }) {
  const t = texts();
  const { edition, step } = at;
  // the next step asks where this one did: a second tap would answer it unread
  const tap = (event: MouseEvent, choice?: string) => {
    if (!isSecondOfTwo(event)) onAnswer({ ...given(), ...(choice === undefined ? {} : { choice }) });
  };
  const given = () => ({
    ...(step.input ? { value: readNumber(value) } : {}),
    ...(step.text ? { text } : {}),
  });
  return (
    <div class="asking">
      {step.input && (
        <ReadingField {...at} input={step.input} value={value} onType={(value) => onType({ value })} />
      )}
      {step.text && (
        <label>
          {t("how.words")}
          <textarea
            rows={3}
            maxLength={1000}
            data-test="words"
            value={text}
            onInput={(e) => onType({ text: e.currentTarget.value })}
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
          onClick={(event) => tap(event, choice.when)}
        >
          {edition.choice(choice.when)}
        </button>
      ))}
      {step.choices.length === 0 && (
        <button type="button" class="main ok" data-test="choice" onClick={tap}>
          {t("how.done")}
        </button>
      )}
    </div>
  );
}

/** A reading with its unit, and what it is held to here. */
function ReadingField({
  edition,
  run,
  step,
  input,
  value,
  onType,
}: At & { input: Input; value: string; onType: (text: string) => void }) {
  const t = texts();
  const limit = limitOf(run, input, nth(run, step));
  return (
    <label>
      {edition.input(input.name)} ({said(t, "unit", input.unit)})
      <input
        inputMode="decimal"
        data-test="reading"
        value={value}
        onInput={(event) => onType(event.currentTarget.value)}
      />
      <span class="fine">
        {limit !== null && t(input.under ? "how.least" : "how.most", { limit })}
        {limit === null && input.limit !== null && t("how.no_limit")}
      </span>
    </label>
  );
}

/** A number as it is typed, with a point or a comma; NaN if it is not one. */
function readNumber(typed: string): number {
  return typed.trim() === "" ? Number.NaN : Number(typed.replace(",", "."));
}
