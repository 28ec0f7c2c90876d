/** Small parts that every screen is made of. */

import type { ComponentChildren } from "preact";
import { useLayoutEffect } from "preact/hooks";
import type { CheckState } from "../book/findings";
import { isClockOff, timeInWords } from "../walk/show/times";
import { build, locale, statuses, sync, texts } from "./app";
import { Notices } from "./notices";

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

/** A screen: its title, a way back, what everybody must know, and at the bottom how the book stands; opened at its top. */
export function Page({
  book,
  title,
  back,
  stopsHere = false,
  children,
}: {
  book: string | null;
  title: string;
  back?: string;
  /** The screen itself says all of the book's stops. */
  stopsHere?: boolean;
  children: ComponentChildren;
}) {
  useLayoutEffect(() => scrollTo(0, 0), []);
  return (
    <div class="page">
      <header>
        {back !== undefined && <Back to={back} />}
        <h1>{title}</h1>
      </header>
      <Notices without={stopsHere ? book : null} />
      <main>{children}</main>
      {book !== null && <Strip book={book} />}
    </div>
  );
}

/** A screen that takes as much room as there is and no more: what it shows is to be seen, not scrolled past. */
export function FullPage({
  book,
  title,
  under,
  back,
  children,
}: {
  book: string;
  title: string;
  /** A line under the title. */
  under: ComponentChildren;
  back: string;
  children: ComponentChildren;
}) {
  return (
    <div class="page full">
      <header>
        <Back to={back} />
        <div class="titles">
          <h1>{title}</h1>
          {under}
        </div>
        <UnsentMark book={book} />
      </header>
      <Notices short />
      <main>{children}</main>
    </div>
  );
}

function Back({ to }: { to: string }) {
  return (
    <a class="back" href={to} aria-label={texts()("app.back")}>
      ‹
    </a>
  );
}

/** How many entries are unsent, in little room; a tap says more. */
function UnsentMark({ book }: { book: string }) {
  const t = texts();
  const status = statuses.value[book];
  if (!status) return null;
  const { unsent, held, refused } = status;
  const isOdd = held > 0 || refused.length > 0 || isClockOff(status.clockAheadMs);
  const words = unsent > 0 ? t("strip.unsent", { n: unsent }) : t("strip.all_sent");
  return (
    <a class="unsent" href={`#unsent/${book}`} aria-label={words} data-test="strip" data-unsent={unsent}>
      <span aria-hidden="true">{isOdd ? "!" : unsent > 0 ? "↑" : "✓"}</span>
      {unsent > 0 && <strong>{unsent}</strong>}
    </a>
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
  return timeInWords(iso, new Date(), locale());
}

/** Which build this is. */
export function BuildLine() {
  return <span class="fine">{texts()("settings.build", { build: build.value })}</span>;
}
