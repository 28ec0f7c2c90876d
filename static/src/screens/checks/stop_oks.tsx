/** The buttons that write at a stop: its checks at once, its column at once. */

import type { Bodies } from "../../book/bodies";
import type { KeptEntry } from "../../book/entry";
import { texts } from "../../ui/app";
import type { OnScreen } from "../../ui/on_screen";
import { type Drawn, draw, okForAll } from "../../walk/checks/answering";
import { type Check, checksAt, columnStops, STRIKE } from "../../walk/checks/checks";
import { nextOpen, tooFast } from "../../walk/checks/progress";
import { unseen } from "../../walk/checks/seen";
import type { Show } from "../../walk/show/show";
import type { AtStop } from "../place";

/** Walks whose stops are an order, or a way around: never a column at once. */
const ONE_BY_ONE = ["guards", "power", STRIKE];
/** What is moved or set for the whole wall is looked at by itself, in the middle of a column too. */
const ALONE = ["lift", "support", "clamp"];

/** Write a finding over what was drawn; `onward` goes on to the next stop that asks for something. */
export type Write = (body: Bodies["found"] | null, seen: Drawn, onward: boolean) => Promise<void>;

type Oks = AtStop & { write: Write };

/**
 * One OK for every check of the stop that has no fault, once all of them and the place were on the screen; until then
 * it leads on to the rest. The second tap of two quick ones is none: it would answer the next stop.
 */
export function MainOk({
  checks,
  place,
  drawn,
  screen: { seen, lead },
  write,
  ...at
}: Oks & { checks: Check[]; place: string; drawn: Drawn; screen: OnScreen }) {
  const t = texts();
  const { show } = at;
  const body = okForAll(show.planOf(at.wall), checks, drawn, show.fold, show.me());
  const rest = body === null ? [] : unseen(seen, [place, ...body.checks]);
  const label = () => {
    if (body === null) return t(whyNothingIsLeft(at, checks));
    if (rest.length > 0) return t("walk.more_to_see", { n: rest.filter((id) => id !== place).length || 1 });
    return body.checks.length > 1 ? t("walk.ok_n", { n: body.checks.length }) : t("walk.ok");
  };
  const tap = (event: MouseEvent) => {
    if (event.detail > 1) return;
    if (rest.length > 0) lead();
    else void write(body, drawn, true);
  };
  return (
    <button
      type="button"
      class={rest.length > 0 ? "main other" : "main ok"}
      data-test="ok"
      data-rest={rest.length}
      data-answers={body?.checks.join(" ")}
      disabled={body === null}
      onClick={tap}
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

/** Whether an entry came sooner after the last one of its device than anybody can look. */
export function isTooFast(show: Show, entry: KeptEntry): boolean {
  const own = [...show.entries.values()].filter((other) => other.device === entry.device);
  return tooFast(own).includes(entry.id);
}
