/**
 * A procedure walked step by step. A run is nothing but the list of what was answered: where it stands follows from
 * that, and going back is forgetting the last answer.
 */

import type { Choice, EditionFile, Input, Procedure, Step } from "../files";

export type { Choice, EditionFile, Input, Procedure, Step };
/** What a procedure takes out of a wall and replaces. */
export type SwapPart = NonNullable<Procedure["swaps"]>;

/** What was answered at a step. */
export interface Answer extends Given {
  /** The step's key. */
  step: string;
}

/** An answer as it is given: a choice by its `when`, a number in the input's unit, words; each where it is asked. */
export interface Given {
  choice?: string;
  value?: number;
  text?: string;
}

/** How a run ended: the key of a fault, and whether it is one of both tiles of a joint. */
export interface End {
  /** Null when all is well. */
  fault: string | null;
  both: boolean;
}

/** What readings are held to, by the name of the limit; null where nobody has said. */
export type Limits = Record<string, number | null>;

/** A procedure under way: what holds at its place, and what was answered so far. */
export interface Run {
  procedure: Procedure;
  facts: ReadonlySet<string>;
  limits: Limits;
  answers: Answer[];
}

/** The key that leads out of a procedure with nothing wrong. */
export const DONE = "ok";
const WELL: End = { fault: null, both: false };

/** A run at its first step; `facts` are the features of the place. */
export function begin(procedure: Procedure, facts: Iterable<string>, limits: Limits): Run {
  return { procedure, facts: new Set(facts), limits, answers: [] };
}

/** The step that a run stands at, or its end. */
export function standing(run: Run): Step | End {
  let now: Step | End = shownFrom(run, run.procedure.steps[0]?.key ?? DONE);
  for (const answer of run.answers) {
    if (!("key" in now)) return now;
    now = after(run, now, answer);
  }
  return now;
}

/** The run with one more answer, or what is wrong with the answer. */
export function answered(run: Run, answer: Given): Run | "number" | "range" | "text" | "choice" {
  const step = standing(run);
  if (!("key" in step)) return run;
  const { input } = step;
  if (input !== null) {
    if (answer.value === undefined || !Number.isFinite(answer.value)) return "number";
    if (answer.value < input.min || answer.value > input.max) return "range";
  }
  if (step.text && !answer.text?.trim()) return "text";
  const full = { step: step.key, ...answer };
  if (step.choices.length > 0 && beyond(run, step, full) === null) {
    if (!step.choices.some((choice) => choice.when === answer.choice)) return "choice";
  }
  return { ...run, answers: [...run.answers, full] };
}

/** The run without its last answer. */
export function back(run: Run): Run {
  return { ...run, answers: run.answers.slice(0, -1) };
}

function after(run: Run, step: Step, answer: Answer): Step | End {
  const fault = beyond(run, step, answer);
  if (fault !== null) return { fault, both: false };
  const choice = step.choices.find((item) => item.when === answer.choice);
  if (choice?.fault != null) return { fault: choice.fault, both: choice.both };
  return shownFrom(run, choice?.goto ?? step.then ?? below(run.procedure, step));
}

/** The fault that a reading beyond its limit is; null where it keeps to it, or nobody has said a limit. */
function beyond(run: Run, step: Step, { value }: Answer): string | null {
  const { input } = step;
  const limit = input?.limit == null ? null : run.limits[input.limit];
  if (input === null || value === undefined || limit == null) return null;
  if (input.over !== null && value > limit) return input.over;
  return input.under !== null && value < limit ? input.under : null;
}

function below(procedure: Procedure, step: Step): string {
  return procedure.steps[procedure.steps.indexOf(step) + 1]?.key ?? DONE;
}

/** The step of that key, or the first one below it that is shown here: what is not shown leads nowhere else. */
function shownFrom(run: Run, key: string): Step | End {
  let next = key;
  while (next !== DONE) {
    const step = run.procedure.steps.find((item) => item.key === next);
    if (step === undefined) return WELL;
    if (isShown(step, run.facts)) return step;
    next = below(run.procedure, step);
  }
  return WELL;
}

/** Whether a step is for a place where these facts hold. */
export function isShown(step: Step, facts: ReadonlySet<string>): boolean {
  return step.needs.every((name) => facts.has(name)) && !step.unless.some((name) => facts.has(name));
}

/** A value read off, with the name and the unit that its step gives it. */
export interface Reading {
  name: string;
  unit: string;
  value: number;
}

/** What was read off, the last value of each name. */
export function readingsOf(run: Run): Reading[] {
  const found = new Map<string, Reading>();
  for (const { step, value } of run.answers) {
    const input = run.procedure.steps.find(({ key }) => key === step)?.input;
    if (input && value !== undefined) found.set(input.name, { name: input.name, unit: input.unit, value });
  }
  return [...found.values()];
}

/** The choices made, as `step:choice`. */
export function chosenOf(run: Run): string[] {
  return run.answers.flatMap(({ step, choice }) => (choice === undefined ? [] : [`${step}:${choice}`]));
}

/** What was written in words, by step. */
export function wordsOf(run: Run): Record<string, string> {
  return Object.fromEntries(
    run.answers.flatMap(({ step, text }) => (text?.trim() ? [[step, text.trim()]] : [])),
  );
}

/** The limit of a reading here, null where nobody has said one. */
export function limitOf(run: Run, input: Input): number | null {
  return input.limit === null ? null : (run.limits[input.limit] ?? null);
}
