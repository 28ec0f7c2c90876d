/** Small parts that every screen is made of. */

import type { ComponentChildren } from "preact";
import type { CheckState } from "../book/findings";
import { LANGUAGES } from "../texts";
import { checkPlaceInWords } from "../walk/checks/places";
import type { Counts } from "../walk/checks/progress";
import { timeInWords } from "../walk/show/times";
import {
  build,
  failure,
  logDurable,
  recovery,
  settings,
  shows,
  statuses,
  sync,
  texts,
  updateReady,
} from "./app";

/** A state as a shape, so that it is recognised without colour. */
export function Shape({ state }: { state: CheckState }) {
  const key = state.weight ?? state.state;
  return (
    <svg class={`shape ${key}`} viewBox="0 0 24 24" width="26" height="26" aria-hidden="true">
      {key === "ok" && <path d="M3 13l6 6L21 5" />}
      {key === "open" && <circle cx="12" cy="12" r="8" />}
      {key === "not_reached" && <path d="M3 12h18" />}
      {key === "reopened" && <path d="M4 4h16v16H4zM4 12h16" />}
      {state.state === "fault" && <path d="M12 2l10 19H2zM12 9v6M12 17.5v1" />}
    </svg>
  );
}

const STATES: readonly (keyof Counts)[] = ["fault", "reopened", "open", "not_reached", "ok"];

/** How many checks are in each state; states without any are left out. */
export function CountLine({ counts }: { counts: Counts }) {
  const t = texts();
  const shown = STATES.filter((state) => counts[state] > 0);
  return (
    <span class="counts">
      {shown.map((state) => (
        <span class={`count ${state}`} key={state}>
          <Shape state={{ state, weight: null, standing: [] }} /> {counts[state]} {t(`state.${state}`)}
        </span>
      ))}
    </span>
  );
}

/** A screen: its title, a way back, what everybody must know, and at the bottom how the book stands. */
export function Page({
  book,
  title,
  back,
  children,
}: {
  book: string | null;
  title: string;
  back?: string;
  children: ComponentChildren;
}) {
  const t = texts();
  return (
    <div class="page">
      <header>
        {back !== undefined && (
          <a class="back" href={back} aria-label={t("app.back")}>
            ‹
          </a>
        )}
        <h1>{title}</h1>
      </header>
      <Notices />
      <main>{children}</main>
      {book !== null && <Strip book={book} />}
    </div>
  );
}

function Notices() {
  const t = texts();
  const found = recovery.value;
  const stops = [...shows.values()].flatMap((show) => show.stops());
  return (
    <div class="notices">
      {stops.map((check) => (
        <p class="notice shout" role="alert" key={check}>
          {t("stop.banner", { place: checkPlaceInWords(t, check) })}
        </p>
      ))}
      {failure.value !== null && (
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
      )}
      {found !== null && (found.lost > 0 || found.restoredToDatabase > 0 || found.newKey) && (
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
      )}
      {!logDurable.value && <p class="notice">{t("app.no_log")}</p>}
      {updateReady.value !== null && (
        <button type="button" class="notice" onClick={() => updateReady.value?.postMessage("take_over")}>
          {t("app.reload")}
        </button>
      )}
    </div>
  );
}

/** What is odd about a book, or about this phone's entries in it, though its head is good. */
export function Oddities({ book }: { book: string }) {
  const t = texts();
  const status = statuses.value[book];
  if (!status) return null;
  const { forked, missing, copies } = status;
  return (
    <>
      {forked && (
        <p class="notice alarm" role="alert" data-test="copied-key">
          {t("unsent.copied_key")}
        </p>
      )}
      {missing > 0 && <p class="notice">{t("unsent.missing", { n: missing })}</p>}
      {copies > 0 && (
        <p class="notice" data-test="copies">
          {t("unsent.copies", { n: copies })}
        </p>
      )}
    </>
  );
}

/** Always there: what is unsent, how the sync stands, and a way to start it. */
export function Strip({ book }: { book: string }) {
  const t = texts();
  const status = statuses.value[book];
  if (!status) return <footer class="strip" />;
  const time = status.lastSyncAt ? clock(status.lastSyncAt) : null;
  const standing =
    status.sync === "idle"
      ? time
        ? t("strip.idle", { at: time })
        : t("strip.never")
      : t(`strip.${status.sync}`);
  return (
    <footer class="strip">
      <a href={`#unsent/${book}`} aria-live="polite" data-test="strip" data-unsent={status.unsent}>
        <strong>{status.unsent > 0 ? t("strip.unsent", { n: status.unsent }) : t("strip.all_sent")}</strong>
        {status.held > 0 && <span>{t("strip.held", { n: status.held })}</span>}
        {status.refused.length > 0 && <span>{t("strip.refused", { n: status.refused.length })}</span>}
        <span>{standing}</span>
      </a>
      <button type="button" onClick={() => void sync(book)}>
        {t("strip.sync")}
      </button>
    </footer>
  );
}

/** A time as this phone's clock shows it, with its day when that is not today. */
export function clock(iso: string): string {
  const { language } = settings.value;
  return timeInWords(iso, new Date(), language in LANGUAGES && language !== "en" ? language : "en-GB");
}

/** Which build this is. */
export function BuildLine() {
  return <span class="fine">{texts()("settings.build", { build: build.value })}</span>;
}
