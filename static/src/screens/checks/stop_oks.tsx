/** The button that writes at a stop: all its checks at once. */

import type { Bodies } from "../../book/bodies";
import { texts } from "../../ui/app";
import type { OnScreen } from "../../ui/on_screen";
import { isSecondOfTwo } from "../../ui/steady";
import type { Drawn } from "../../walk/checks/answering";
import type { Check } from "../../walk/checks/checks";
import { nextOpen } from "../../walk/checks/progress";
import { unseen } from "../../walk/checks/seen";
import type { AtStop } from "../place";

/** Write a finding over what was drawn; `onward` goes on to the next stop that asks for something. */
export type Write = (body: Bodies["found"] | null, seen: Drawn, onward: boolean) => Promise<void>;

type Oks = AtStop & { write: Write };

/**
 * One OK for every check of the stop that has no fault, once all of them and the names of their places were on the
 * screen; until then it leads on to the rest. The second tap of two quick ones is none: it would answer the next stop.
 */
export function MainOk({
  checks,
  names,
  drawn,
  ok: body,
  screen,
  write,
  ...at
}: Oks & {
  checks: Check[];
  names: string[];
  drawn: Drawn;
  ok: Bodies["found"] | null;
  screen: OnScreen;
}) {
  const t = texts();
  const { show } = at;
  if (!show.may("found")) return <p class="fine looks_on">{t("walk.looks_on")}</p>;
  const rest = body === null ? [] : unseen(screen.seen(), [...names, ...body.checks]);
  const label = () => {
    if (body === null) return t(whyNothingIsLeft(at, checks));
    if (rest.length > 0)
      return t("walk.more_to_see", { n: rest.filter((id) => !names.includes(id)).length || 1 });
    return body.checks.length > 1 ? t("walk.ok_n", { n: body.checks.length }) : t("walk.ok");
  };
  if (body === null && checks.some(({ id }) => show.fold.state(id).weight === "stop")) {
    return (
      <a class="main alarm" href={`#stops/${show.membership.book}`} data-test="ok" data-rest="0">
        {t("stops.here")}
      </a>
    );
  }
  const tap = (event: MouseEvent) => {
    if (isSecondOfTwo(event)) return;
    if (rest.length > 0) screen.lead();
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
      onKeyDown={holdNoKey}
    >
      {label()}
    </button>
  );
}

/** A key that is held down goes on tapping: it would answer stop after stop. */
function holdNoKey(event: KeyboardEvent): void {
  if (event.repeat) event.preventDefault();
}

function whyNothingIsLeft({ show, wall, file, walk, index }: AtStop, checks: Check[]) {
  if (checks.some((check) => show.fold.state(check.id).state === "fault")) return "walk.faults_first";
  const next = nextOpen(show.fold, file, walk, index, show.asked(wall, walk.key));
  return next === null ? "walk.all_done" : "walk.done";
}
