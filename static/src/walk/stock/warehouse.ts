/** The warehouse's questions about a show: what belongs in a case, what speaks against it, what is still to pick. */

import type { KeptEntry } from "../../book/entry";
import { KINDS, kindOf } from "../../scan/codes";
import type { Stock } from "../../scan/stock";
import type { ListedCase } from "../files";
import type { Show } from "../show/show";
import { type BenchState, benchState, type Step, stepOf } from "./bench";
import type { CaseState, Stage } from "./cases";

/** What speaks against taking a case, `trouble.*` in the texts; `about` are the codes or batches it is about. */
export interface Trouble {
  key: "quarantined" | "incomplete" | "mixed" | "other_batch" | "away" | "not_listed";
  about: string[];
}

const NO_BATCH = "unknown";

/** How a thing stands with the bench, by its code. */
export type StatusOf = (code: string) => BenchState;

/** How things stand with the bench: from the stock list, and what this book says since. */
export function statuses(show: Show): StatusOf {
  const steps = new Map<string, Step[]>();
  for (const entry of since(show, show.records.newest("stock_listed")?.index ?? -1)) {
    const told = stepOf(entry, show.authorOf(entry.device));
    if (told) steps.set(told.item, [...(steps.get(told.item) ?? []), told.step]);
  }
  return (code) => {
    const thing = show.stock?.thing(code);
    const start: BenchState = {
      status: thing?.status ?? "in_stock",
      since: "",
      workedBy: thing?.workedBy ?? "",
    };
    return benchState(steps.get(code) ?? [], start);
  };
}

/** Entries that bear on things, newer than an index of the book, oldest first. */
function since(show: Show, index: number): KeptEntry[] {
  const told = (["swapped", "item_looked_at", "item_benched"] as const).flatMap((type) =>
    show.records.all(type),
  );
  const place = ({ index: at }: KeptEntry) => at ?? Number.MAX_SAFE_INTEGER;
  return told
    .filter((entry) => place(entry) > index)
    .sort((a, b) => place(a) - place(b) || a.at.localeCompare(b.at) || a.n - b.n);
}

/** What should lie in a case: what went out in it, or while nobody wrote that down, what has its home there. */
export function expectedIn(show: Show, stage: Stage, box: string): string[] {
  const out = stage === "prep" ? [] : show.cases.itemsIn("prep", box);
  return out.length > 0 ? out : (show.stock?.homeOf(box) ?? []);
}

/** How a case stands at a stage, against what should lie in it then. */
export function caseState(show: Show, stage: Stage, box: string): CaseState {
  return show.cases.state(stage, box, expectedIn(show, stage, box));
}

/** What speaks against a case, as the stock list and this book have it; `batch` is the one that is wanted. */
export function troublesOf(stock: Stock, status: StatusOf, box: string, batch = ""): Trouble[] {
  const found: Trouble[] = [];
  const inside = stock.inside(box).filter((code) => code[2] === "T");
  const things = inside.flatMap((code) => stock.thing(code) ?? []);
  const ill = inside.filter((code) => status(code).status !== "in_stock");
  const lacking = stock.tilesOf(box).filter((code) => !inside.includes(code));
  const batches = [...new Set(things.map((thing) => thing.batch ?? ""))].sort();
  if (stock.thing(box)?.at === "away") found.push({ key: "away", about: [] });
  if (ill.length > 0) found.push({ key: "quarantined", about: ill });
  if (lacking.length > 0) found.push({ key: "incomplete", about: lacking });
  if (batches.length > 1) found.push({ key: "mixed", about: batches });
  else if (batch !== "" && batch !== NO_BATCH && batches.length === 1 && batches[0] !== batch) {
    found.push({ key: "other_batch", about: [batches[0] || NO_BATCH, batch] });
  }
  return found;
}

/** What stops a case at prep: it is on no list, or something speaks against it. */
export function stopsOf(show: Show, stock: Stock, box: string): Trouble[] {
  const planned = planOf(show, box);
  const listed: Trouble[] = show.prep !== null && !planned ? [{ key: "not_listed", about: [] }] : [];
  return [...listed, ...troublesOf(stock, statuses(show), box, planned?.batch)];
}

/** Where a case goes: its tiles may go into several walls, the first of which counts for its batch. */
export function plansOf(show: Show, box: string): ListedCase[] {
  return show.prep?.cases.filter(({ case: code }) => code === box) ?? [];
}

function planOf(show: Show, box: string): ListedCase | null {
  return plansOf(show, box)[0] ?? null;
}

/** The best whole case at home of the same tile type that nobody took yet: of the batch before any other. */
export function substituteFor(show: Show, stock: Stock, box: string): string | null {
  const planned = planOf(show, box);
  const status = statuses(show);
  const type = planned?.tile_type ?? stock.typeOf(box);
  const taken = new Set([box, ...(show.prep?.truck ?? []), ...show.cases.seenAt("prep")]);
  const whole = stock
    .cases()
    .filter(
      (code) =>
        !taken.has(code) && stock.typeOf(code) === type && troublesOf(stock, status, code).length === 0,
    );
  const wanted = planned?.batch ?? stock.batchOf(box);
  const order = (code: string) => (stock.batchOf(code) === wanted ? 0 : 1);
  return (
    whole.sort(
      (a, b) => order(a) - order(b) || stock.inside(b).length - stock.inside(a).length || (a < b ? -1 : 1),
    )[0] ?? null
  );
}

/** A line of the pick list: how many of a kind are wanted, `of` a tile type or the like, and how many were seen. */
export interface PickLine {
  kind: string;
  of: string;
  wanted: number;
  seen: number;
}

/**
 * The pick list, and how much of it was seen at a stage: labels that were scanned, parts that were counted. What
 * comes back is measured against what went out, once anything was written down of that.
 */
export function pickLines(show: Show, stage: Stage): PickLine[] {
  const seen = countsAt(show, stage);
  const out = stage === "prep" ? new Map<string, number>() : countsAt(show, "prep");
  return (show.prep?.picks ?? []).map(({ kind, of, count }) => ({
    kind,
    of,
    wanted: out.size > 0 ? (out.get(`${kind}/${of}`) ?? 0) : count,
    seen: seen.get(`${kind}/${of}`) ?? 0,
  }));
}

/** How many of each kind and type were seen at a stage. */
function countsAt(show: Show, stage: Stage): Map<string, number> {
  const found = new Map<string, number>();
  const add = (kind: string, of: string, n: number) =>
    found.set(`${kind}/${of}`, (found.get(`${kind}/${of}`) ?? 0) + n);
  for (const entry of show.records.all("parts_counted")) {
    if (entry.body.stage === stage) add(entry.body.part, entry.body.of, entry.body.count);
  }
  for (const code of show.cases.itemsAt(stage))
    add(kindOf(code) ?? "", show.stock?.thing(code)?.tileType ?? "", 1);
  for (const box of show.cases.seenAt(stage)) add("case", show.stock?.typeOf(box) ?? "", 1);
  return found;
}

/** Whether things of a kind are counted rather than scanned. */
export function isCounted(kind: string): boolean {
  return !Object.values(KINDS).some((known) => known === kind);
}

/** The cases of a stage, each with how it stands: those planned at prep, later those that went out. */
export function casesAt(show: Show, stage: Stage): { box: string; state: CaseState }[] {
  const known =
    stage === "prep" ? (show.prep?.cases.map(({ case: code }) => code) ?? []) : show.cases.seenAt("prep");
  const all = [...new Set([...known, ...show.cases.seenAt(stage)])];
  return all.map((box) => ({ box, state: caseState(show, stage, box) }));
}

/** Things that went out and were not seen at the return in any case. */
export function stillOut(show: Show): string[] {
  const back = new Set(show.cases.itemsAt("return"));
  return show.cases.itemsAt("prep").filter((code) => !back.has(code));
}

/** The stages at which a role goes through cases; the last is the usual one for a look at a thing. */
export function stagesOf(role: string): Stage[] {
  if (role === "warehouse") return ["prep", "load_in", "load_out", "return"];
  return role === "crew" || role === "chief" ? ["load_in", "load_out"] : [];
}

/** Whether a role works at the bench. */
export function mayBench(role: string): boolean {
  return role === "warehouse";
}

/** Whether a role hands things over to another company. */
export function mayHandOver(role: string): boolean {
  return role === "warehouse" || role === "chief";
}
