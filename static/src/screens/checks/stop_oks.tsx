/** The buttons that write at a stop: its checks at once, and the last entry taken back. */

import type { Bodies } from "../../book/bodies";
import type { KeptEntry } from "../../book/entry";
import { append, texts } from "../../ui/app";
import { type Drawn, okForAll } from "../../walk/checks/answering";
import type { Check } from "../../walk/checks/checks";
import { nextOpen, tooFast } from "../../walk/checks/progress";
import type { Show } from "../../walk/show/show";
import { entryInWords } from "../entry_words";
import type { AtStop } from "../place";

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

/** Whether an entry came sooner after the last one of its device than anybody can look. */
export function isTooFast(show: Show, entry: KeptEntry): boolean {
  const own = [...show.entries.values()].filter((other) => other.device === entry.device);
  return tooFast(own).includes(entry.id);
}
