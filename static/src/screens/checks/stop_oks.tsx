/** The buttons that write at a stop: its checks at once, its column at once, and the last entry taken back. */

import type { Bodies } from "../../book/bodies";
import { append, texts } from "../../ui/app";
import { type Drawn, draw, okForAll } from "../../walk/checks/answering";
import { type Check, checksAt, columnStops, STRIKE } from "../../walk/checks/checks";
import { nextOpen } from "../../walk/checks/progress";
import type { Show } from "../../walk/show/show";
import { entryInWords } from "../entry_words";
import type { AtStop } from "../place";

/** Walks whose stops are an order, or a way around: never a column at once. */
const ONE_BY_ONE = ["guards", "power", STRIKE];
/** What is moved or set for the whole wall is looked at by itself, in the middle of a column too. */
const ALONE = ["lift", "support", "clamp"];

/** Write a finding over what was drawn; `onward` goes on to the next stop that asks for something. */
export type Write = (body: Bodies["found"] | null, seen: Drawn, onward: boolean) => Promise<void>;

type Oks = AtStop & { write: Write };

/** One OK for every check of the stop that has no fault. */
export function MainOk({ checks, drawn, write, ...at }: Oks & { checks: Check[]; drawn: Drawn }) {
  const t = texts();
  const { show } = at;
  const body = okForAll(show.planOf(at.wall), checks, drawn, show.fold, show.me());
  const label = () => {
    if (body === null) return t(whyNothingIsLeft(at, checks));
    return body.checks.length > 1 ? t("walk.ok_n", { n: body.checks.length }) : t("walk.ok");
  };
  return (
    <button
      type="button"
      class="main ok"
      data-test="ok"
      disabled={body === null}
      onClick={() => write(body, drawn, true)}
    >
      {label()}
    </button>
  );
}

function whyNothingIsLeft({ show, wall, file, walk, index }: AtStop, checks: Check[]) {
  if (checks.some((check) => show.fold.state(check.id).state === "fault")) return "walk.faults_first";
  const next = nextOpen(show.fold, file, walk, index, show.asked(wall, walk.key));
  return next === null ? "walk.all_done" : "walk.done";
}

/** One OK for the whole column, where the walk allows it and there is more than one stop in it. */
export function ColumnOk({ write, ...at }: Oks) {
  const t = texts();
  const { show, file, walk, index } = at;
  const stop = walk.stops[index];
  if (stop === undefined || ONE_BY_ONE.includes(walk.key)) return null;
  const stops = columnStops(walk, stop).filter(({ place }) => !ALONE.includes(place.split("/")[0] ?? ""));
  const checks = stops.flatMap((one) => checksAt(file, one));
  const drawn = draw(show.fold, checks);
  const body = okForAll(show.planOf(at.wall), checks, drawn, show.fold, show.me());
  if (body === null || stops.length < 2) return null;
  return (
    <button type="button" class="quiet" data-test="column" onClick={() => write(body, drawn, true)}>
      {t("walk.column", { n: body.checks.length })}
    </button>
  );
}

/** Taking back the last entry of this phone that can be taken back. */
export function Undo({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  const entry = show.undoable();
  if (entry === null) return null;
  return (
    <button
      type="button"
      class="quiet undo"
      data-test="undo"
      onClick={() => append(book, "withdrawn", { entry: entry.id })}
    >
      {t("walk.undo", { what: entryInWords(entry) })}
    </button>
  );
}
