/** What everybody must know, whatever screen is open. */

import { checkAddress } from "../walk/checks/addresses";
import { checkPlaceInWords } from "../walk/checks/places";
import type { Show } from "../walk/show/show";
import { dayAndTime, isClockOff, lengthInWords } from "../walk/show/times";
import { failure, locale, logDurable, recovery, shows, statuses, texts, updateReady } from "./app";

/**
 * `short`: a stop takes one line, so that what is looked at stays on the screen. `without`: the book whose stops stand
 * on the screen itself.
 */
export function Notices({ short = false, without = null }: { short?: boolean; without?: string | null }) {
  const t = texts();
  const told = [...shows.values()].filter((show) => show.membership.book !== without);
  const stops = told.flatMap((show) => show.stops().map((check) => ({ show, check })));
  return (
    <div class="notices">
      {short && <LiveOnWalks />}
      {short ? <StopLine stops={stops} /> : stops.map((stop) => <StopBanner key={stop.check} {...stop} />)}
      <Failure />
      {!short && <ClockOff />}
      <Recovered />
      {!logDurable.value && (
        <p class="notice" role="status">
          {t("app.no_log")}
        </p>
      )}
      {updateReady.value !== null && (
        <button type="button" class="notice" onClick={() => updateReady.value?.postMessage("take_over")}>
          {t("app.reload")}
        </button>
      )}
    </div>
  );
}

/** What is on for a test, on every walk: whoever stands at a wall is to know. */
function LiveOnWalks() {
  const live = [...shows.values()].flatMap((show) =>
    [...show.plans.keys()].map((wall) => ({ show, wall, circuits: [...show.records.live(wall).keys()] })),
  );
  const [first] = live.filter(({ circuits }) => circuits.length > 0);
  if (first === undefined) return null;
  const { show, wall, circuits } = first;
  return (
    <p class="live line" role="status" data-test="live">
      <LiveLink show={show} wall={wall} circuits={circuits} />
    </p>
  );
}

/** What is on for a test at a wall, and the way to switch it off. */
export function LiveLink({ show, wall, circuits }: { show: Show; wall: string; circuits: string[] }) {
  return (
    <a href={`#live/${show.membership.book}/${wall}`}>
      {texts()("live.line", { wall, circuits: circuits.join(", ") })}
    </a>
  );
}

interface Stop {
  show: Show;
  check: string;
}

function wallOf(check: string): string {
  return check.slice(0, check.indexOf("/"));
}

/** A stop in full, and the way to what is to be done. */
function StopBanner({ show, check }: Stop) {
  const t = texts();
  return (
    <p class="notice shout" role="alert" data-test="stop">
      <a href={`#stops/${show.membership.book}`}>
        {t("stop.banner", { wall: wallOf(check), place: checkPlaceInWords(t, check) })}
      </a>
    </p>
  );
}

/** All stops in one line, which leads to the first. */
function StopLine({ stops }: { stops: Stop[] }) {
  const t = texts();
  const [first] = stops;
  if (first === undefined) return null;
  const { show, check } = first;
  const words = t("stop.line", { wall: wallOf(check), place: checkPlaceInWords(t, check) });
  return (
    <p class="shout line" role="alert" data-test="stop">
      <a href={checkAddress(show, check) ?? `#home/${show.membership.book}`}>
        <span class="first">{words}</span>{" "}
        {stops.length > 1 && <span>{t("stop.more", { n: stops.length - 1 })}</span>}
      </a>
    </p>
  );
}

/** A clock that is not the server's: what is written carries the wrong time until it is set. */
function ClockOff() {
  const t = texts();
  const ahead = Object.values(statuses.value)
    .map((status) => status.clockAheadMs)
    .find(isClockOff);
  if (ahead === undefined || ahead === null) return null;
  const said = { by: lengthInWords(ahead, locale()), at: dayAndTime(new Date(), locale()) };
  return (
    <p class="notice alarm" role="alert" data-test="clock-off">
      {t(ahead > 0 ? "clock.ahead" : "clock.behind", said)}
    </p>
  );
}

function Failure() {
  const t = texts();
  if (failure.value === null) return null;
  return (
    <div class="notice alarm" role="alert">
      <p>
        {t("app.failed", { message: failure.value.message })} {failure.value.remedy}
      </p>
      <button
        type="button"
        onClick={() => {
          failure.value = null;
        }}
      >
        {t("app.ok")}
      </button>
    </div>
  );
}

/** What the start had to mend. */
function Recovered() {
  const t = texts();
  const found = recovery.value;
  if (found === null || !(found.lost > 0 || found.restoredToDatabase > 0 || found.newKey)) return null;
  return (
    <div class="notice" role="alert">
      {found.lost > 0 && <p>{t("app.lost", { n: found.lost })}</p>}
      {found.restoredToDatabase > 0 && <p>{t("app.restored", { n: found.restoredToDatabase })}</p>}
      {found.newKey && <p>{t("app.new_key")}</p>}
      <button
        type="button"
        onClick={() => {
          recovery.value = null;
        }}
      >
        {t("app.ok")}
      </button>
    </div>
  );
}
