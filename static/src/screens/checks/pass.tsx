/** One pass along the wall that writes exceptions only: tap what is not as drawn, then say that the rest is. */

import type { Bodies } from "../../book/bodies";
import { said } from "../../texts";
import { texts } from "../../ui/app";
import { Wrong } from "../../ui/fields";
import { SideButton, WallMap } from "../../ui/map";
import { type OnScreen, useOnScreen } from "../../ui/on_screen";
import { FullPage, Shape } from "../../ui/parts";
import { isSecondOfTwo } from "../../ui/steady";
import { stopAddress } from "../../walk/checks/addresses";
import { type Drawn, draw, okForDue } from "../../walk/checks/answering";
import { type Check, checksAt } from "../../walk/checks/checks";
import { type PassLine, type PassPlace, passLines } from "../../walk/checks/passes";
import { checkPlaceInWords, placeInWords } from "../../walk/checks/places";
import { worstOf } from "../../walk/checks/progress";
import { unseen } from "../../walk/checks/seen";
import { standsAs } from "../../walk/findings/second_look";
import type { OnWalk } from "../place";
import { KeptReason } from "./ahead";
import { checkInWords } from "./check";
import { useWriting, type Writing } from "./writing";

/** As many checks as one entry may name. */
const MOST = 5000;

/** A walk with all its checks, what stood at each when it was drawn, and what one tap would say of them. */
interface Whole extends OnWalk {
  checks: Check[];
  drawn: Drawn;
  rest: Bodies["found"] | null;
}

export function Pass(at: OnWalk) {
  const t = texts();
  const { write, notice, busy, asks } = useWriting(at, at.walk.key);
  const { show, wall, file, walk } = at;
  const { book } = show.membership;
  const checks = walk.stops.flatMap((stop) => checksAt(file, stop));
  const drawn = draw(show.fold, checks);
  const whole = { ...at, checks, drawn, rest: okOf({ ...at, drawn }, checks) };
  const screen = useOnScreen(`${wall}/${walk.key} ${JSON.stringify(drawn)}`, walk.key);
  const lit = new Set(whole.rest?.checks ?? []);
  if (asks) return asks;
  return (
    <FullPage
      book={book}
      title={`${wall} · ${said(t, "walk", walk.key)}`}
      under={<p class="fine">{t("pass.left", { n: lit.size, total: checks.length })}</p>}
      back={`#home/${book}`}
    >
      <div class="walk pass" aria-busy={busy}>
        <div class="stand">
          <div class="where">
            <WallMap {...at} lit={lit} onPick={(index) => (location.hash = addressAt(at, index))} />
          </div>
          <Lines {...whole} screen={screen} />
        </div>
        <Rest {...whole} screen={screen} write={write} notice={notice} />
      </div>
    </FullPage>
  );
}

function addressAt({ show, wall, walk }: OnWalk, index: number): string {
  return stopAddress(show.membership.book, wall, walk.key, index);
}

function okOf(at: OnWalk & { drawn: Drawn }, checks: Check[]): Bodies["found"] | null {
  return okForDue(at.show, at.wall, at.file, checks, at.drawn);
}

/** Every place of the walk, line by line, and below them what was found and what else can be done. */
function Lines({ screen, ...at }: Whole & { screen: OnScreen }) {
  const t = texts();
  return (
    <section class="what" ref={screen.frame} aria-label={t("walk.checks")}>
      <div ref={screen.first}>
        <p>{said(t, "pass", at.walk.key)}</p>
      </div>
      {passLines(t, at.file, at.walk).map((line) => (
        <Line key={line.key} {...at} line={line} />
      ))}
      <Exceptions {...at} />
      <KeptReason {...at} />
      <div class="more">
        <a class="button quiet" href={addressAt(at, 0)} data-test="one-by-one">
          {t("pass.one_by_one")}
        </a>
        <SideButton />
      </div>
    </section>
  );
}

/** Places in one line, each as its number and its state; a tap goes to its stop. */
function Line({ line, ...at }: OnWalk & { line: PassLine }) {
  const [first] = line.places;
  return (
    <div class="pass_line">
      <h2>
        {line.words} <span class="fine">{first?.checks.map(checkInWords).join(", ")}</span>
      </h2>
      {line.places.map((place) => (
        <Spot key={place.place} {...at} place={place} />
      ))}
    </div>
  );
}

function Spot({ place, ...at }: OnWalk & { place: PassPlace }) {
  const t = texts();
  const state = worstOf(place.checks.map(({ id }) => standsAs(at.show.fold, id)));
  return (
    <a
      class={`button ${state.weight ?? state.state}`}
      href={addressAt(at, place.stop)}
      aria-label={`${placeInWords(t, place.place)}: ${t(`state.${state.weight ?? state.state}`)}`}
      data-test="spot"
      data-shows={place.checks.map(({ id }) => id).join(" ")}
    >
      <Shape state={state} /> {place.label}
    </a>
  );
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
  if (exceptions.length === 0) return null;
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
            <a href={addressAt(at, index)}>{t("sign.go")}</a>
          </li>
        ))}
      </ul>
    </>
  );
}

/** One tap says that everything else is as drawn, once all of it was on the screen; until then it leads on. */
function Rest({
  screen,
  write,
  notice,
  ...at
}: Whole & { screen: OnScreen } & Pick<Writing, "write" | "notice">) {
  const t = texts();
  const { checks, drawn, rest } = at;
  if (!at.show.may("found")) {
    return (
      <div class="thumb">
        <p class="fine looks_on">{t("walk.looks_on")}</p>
      </div>
    );
  }
  const more = unseen(screen.seen(), rest?.checks ?? []).length;
  const parts = Array.from({ length: Math.ceil(checks.length / MOST) }, (_, i) =>
    okOf(at, checks.slice(i * MOST, (i + 1) * MOST)),
  );
  const tap = (event: MouseEvent) => {
    if (isSecondOfTwo(event)) return;
    const bodies = parts.filter((body) => body !== null);
    if (more > 0) screen.lead();
    else void write(bodies, drawn, () => undefined);
  };
  const label = () => {
    if (rest === null) return t("pass.all");
    return more > 0 ? t("walk.more_to_see", { n: more }) : t("pass.rest", { n: rest.checks.length });
  };
  return (
    <div class="thumb">
      {notice && <Wrong>{t(notice)}</Wrong>}
      <button
        type="button"
        class={more > 0 ? "main other" : "main ok"}
        data-test="rest"
        data-rest={more}
        data-answers={rest?.checks.join(" ")}
        disabled={rest === null}
        onClick={tap}
      >
        {label()}
      </button>
    </div>
  );
}
