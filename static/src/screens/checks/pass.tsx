/** One pass along the wall that writes exceptions only: tap what is not as drawn, then say that the rest is. */

import { said } from "../../texts";
import { texts } from "../../ui/app";
import { Wrong } from "../../ui/fields";
import { SideButton, WallMap } from "../../ui/map";
import { Page, Shape } from "../../ui/parts";
import { draw, okForDue } from "../../walk/checks/answering";
import { type Check, checksAt } from "../../walk/checks/checks";
import { checkPlaceInWords } from "../../walk/checks/places";
import type { OnWalk } from "../place";
import { KeptReason } from "./ahead";
import { checkInWords } from "./check";
import { useWriting, type Writing } from "./writing";

/** As many checks as one entry may name. */
const MOST = 5000;
const NONE: ReadonlySet<string> = new Set();

export function Pass(at: OnWalk) {
  const t = texts();
  const { write, notice, asks } = useWriting(at);
  const { show, wall, walk } = at;
  const { book } = show.membership;
  if (asks) return asks;
  return (
    <Page book={book} title={`${wall} · ${said(t, "walk", walk.key)}`} back={`#home/${book}`}>
      <p>{said(t, "pass", walk.key)}</p>
      <div class="pass">
        <WallMap {...at} lit={NONE} onPick={(index) => (location.hash = stopAddress(at, index))} />
      </div>
      <SideButton />
      <Exceptions {...at} />
      <a class="button quiet" href={stopAddress(at, 0)} data-test="one-by-one">
        {t("pass.one_by_one")}
      </a>
      <KeptReason {...at} />
      {notice && <Wrong>{t(notice)}</Wrong>}
      <Rest {...at} write={write} />
    </Page>
  );
}

function stopAddress({ show, wall, walk }: OnWalk, index: number): string {
  return `#walk/${show.membership.book}/${wall}/${walk.key}/${index}`;
}

/** What was written down as not as drawn, each with the way to its stop. */
function Exceptions(at: OnWalk) {
  const t = texts();
  const { show, file, walk } = at;
  const exceptions = walk.stops.flatMap((stop, index) =>
    checksAt(file, stop)
      .map((check) => ({ check, index, state: show.fold.state(check.id) }))
      .filter(({ state }) => state.state === "fault" || state.state === "not_reached"),
  );
  return (
    <>
      <h2>{t("pass.exceptions", { n: exceptions.length })}</h2>
      <ul class="lines">
        {exceptions.map(({ check, index, state }) => (
          <li key={check.id}>
            <Shape state={state} />
            <span class="grow">
              {checkPlaceInWords(t, check.id)} · {checkInWords(check)}
            </span>
            <a href={stopAddress(at, index)}>{t("sign.go")}</a>
          </li>
        ))}
      </ul>
    </>
  );
}

/** One tap says that everything else is as drawn. */
function Rest({ show, wall, file, walk, write }: OnWalk & Pick<Writing, "write">) {
  const t = texts();
  const checks = walk.stops.flatMap((stop) => checksAt(file, stop));
  const drawn = draw(show.fold, checks);
  const okFor = (some: Check[]) => okForDue(show, wall, file, some, drawn);
  const rest = okFor(checks);

  const parts = Array.from({ length: Math.ceil(checks.length / MOST) }, (_, i) =>
    okFor(checks.slice(i * MOST, (i + 1) * MOST)),
  );
  const bodies = parts.filter((body) => body !== null);

  return (
    <button
      type="button"
      class="main ok"
      data-test="rest"
      disabled={rest === null}
      onClick={() => void write(bodies, drawn, () => undefined)}
    >
      {rest === null ? t("pass.all") : t("pass.rest", { n: rest.checks.length })}
    </button>
  );
}
