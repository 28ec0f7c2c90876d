/** One pass along the wall that writes exceptions only: tap what is not as drawn, then say that the rest is. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { append, texts } from "../../ui/app";
import { WallMap } from "../../ui/map";
import { Page, Shape } from "../../ui/parts";
import { draw, isCurrent, okForAll } from "../../walk/checks/answering";
import { type ChecksFile, checksAt, type Walk } from "../../walk/checks/checks";
import { checkPlaceInWords } from "../../walk/checks/places";
import type { Show } from "../../walk/show/show";
import { checkInWords } from "./check";

/** As many checks as one entry may name. */
const MOST = 5000;

export function Pass({ show, wall, file, walk }: { show: Show; wall: string; file: ChecksFile; walk: Walk }) {
  const t = texts();
  const { book } = show.membership;
  const [changed, setChanged] = useState(false);
  const checks = walk.stops.flatMap((stop) => checksAt(file, stop));
  const drawn = draw(show.fold, checks);
  const plan = show.plans.get(wall)?.id ?? "";
  const rest = okForAll(plan, checks, drawn, show.fold, show.me());
  const at = (index: number) => `#walk/${book}/${wall}/${walk.key}/${index}`;
  const exceptions = walk.stops.flatMap((stop, index) =>
    checksAt(file, stop)
      .map((check) => ({ check, index, state: show.fold.state(check.id) }))
      .filter(({ state }) => state.state === "fault" || state.state === "not_reached"),
  );

  async function write() {
    const stands = isCurrent(show.fold, drawn);
    setChanged(!stands);
    for (let from = 0; stands && from < checks.length; from += MOST) {
      const body = okForAll(plan, checks.slice(from, from + MOST), drawn, show.fold, show.me());
      if (body !== null) await append(book, "found", body);
    }
  }

  return (
    <Page book={book} title={`${wall} · ${said(t, "walk", walk.key)}`} back={`#home/${book}`}>
      <p>{said(t, "pass", walk.key)}</p>
      <div class="pass">
        <WallMap
          show={show}
          file={file}
          walk={walk}
          at={-1}
          onPick={(index) => (location.hash = at(index))}
        />
      </div>
      <h2>{t("pass.exceptions", { n: exceptions.length })}</h2>
      <ul class="lines">
        {exceptions.map(({ check, index, state }) => (
          <li key={check.id}>
            <Shape state={state} />
            <span class="grow">
              {checkPlaceInWords(t, check.id)} · {checkInWords(check)}
            </span>
            <a href={at(index)}>{t("sign.go")}</a>
          </li>
        ))}
      </ul>
      <a class="button quiet" href={at(0)} data-test="one-by-one">
        {t("pass.one_by_one")}
      </a>
      {changed && (
        <p class="wrong" role="alert">
          {t("walk.changed")}
        </p>
      )}
      <button
        type="button"
        class="main ok"
        data-test="rest"
        disabled={rest === null}
        onClick={() => void write()}
      >
        {rest === null ? t("pass.all") : t("pass.rest", { n: rest.checks.length })}
      </button>
    </Page>
  );
}
