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
  for (const [index, answer] of run.answers.entries()) {
    if (!("key" in now)) return now;
    now = after(run, now, answer, nth(run, now, index));
  }
  return now;
}

/** The run with one more answer, or what is wrong with the answer. */
export function answered(run: Run, answer: Given): Run | "number" | "range" | "text" | "choice" {
  const step = standing(run);
  if (!("key" in step)) return run;
  const chosen = step.choices.find(({ when }) => when === answer.choice);
  const wrong = chosen?.unread ? null : wrongReading(step.input, answer.value);
  if (wrong !== null) return wrong;
  if (step.text && !answer.text?.trim()) return "text";
  const { choice: _, ...told } = { step: step.key, ...answer };
  if (chosen?.unread) delete told.value;
  const isBeyond = beyond(run, step, told, nth(run, step)) !== null;
  if (step.choices.length > 0 && chosen === undefined && !isBeyond) return "choice";
  const full = chosen === undefined || isBeyond ? told : { ...told, choice: chosen.when };
  return { ...run, answers: [...run.answers, full] };
}

/** The run without its last answer. */
export function back(run: Run): Run {
  return { ...run, answers: run.answers.slice(0, -1) };
}

function after(run: Run, step: Step, answer: Answer, number: number): Step | End {
  const there = beyond(run, step, answer, number);
  if (there !== null) return there;
  const choice = step.choices.find((item) => item.when === answer.choice);
  if (choice?.fault != null) return { fault: choice.fault, both: choice.both };
  const next = choice?.goto ?? step.then ?? below(run.procedure, step);
  if (next === below(run.procedure, step) && number < countOf(run, step)) return step;
  return shownFrom(run, next);
}

/** Where a reading beyond its limit leads; null where it keeps to it, or nobody has said a limit. */
function beyond(run: Run, step: Step, { value }: Answer, number: number): Step | End | null {
  const { input } = step;
  const limit = input === null ? null : limitOf(run, input, number);
  if (input === null || value === undefined || limit === null) return null;
  if (input.under !== null && value < limit) return { fault: input.under, both: false };
  if (value <= limit) return null;
  if (input.over_to) return shownFrom(run, input.over_to);
  return input.over === null ? null : { fault: input.over, both: false };
}

function wrongReading(input: Input | null, value: number | undefined): "number" | "range" | null {
  if (input === null) return null;
  if (value === undefined || !Number.isFinite(value)) return "number";
  return value < input.min || value > input.max ? "range" : null;
}

/** How many times a step is asked in a row: once for each hanging point of the plan, or just once. */
export function countOf(run: Run, step: Step): number {
  if (step.input?.each !== "point") return 1;
  return Math.max(1, Object.keys(run.limits).filter((name) => /^point_kg_\d+$/.test(name)).length);
}

/** Which of these times it is, from 1, after the first `before` answers. */
export function nth(run: Run, step: Step, before = run.answers.length): number {
  const asked = run.answers.slice(0, before).filter((answer) => answer.step === step.key).length;
  return (asked % countOf(run, step)) + 1;
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
  for (const [index, answer] of run.answers.entries()) {
    const step = run.procedure.steps.find(({ key }) => key === answer.step);
    if (!step?.input || answer.value === undefined) continue;
    const name = numbered(step.input, step.input.name, nth(run, step, index));
    found.set(name, { name, unit: step.input.unit, value: answer.value });
  }
  return [...found.values()];
}

/** A name with its number, where the reading is one of several. */
function numbered({ each }: Input, name: string, number: number): string {
  return each === "point" ? `${name}_${number}` : name;
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
export function limitOf(run: Run, input: Input, number: number): number | null {
  return input.limit === null ? null : (run.limits[numbered(input, input.limit, number)] ?? null);
}
