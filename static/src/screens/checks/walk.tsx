/** One stop of a walk: where to stand, what to look at, one thumb to say so. */

import { useEffect, useState } from "preact/hooks";
import { type Body, type KeptEntry, UNREADABLE } from "../../book/entry";
import { groupedCode } from "../../scan/codes";
import { said, type T } from "../../texts";
import { append, saved, texts } from "../../ui/app";
import { WallMap } from "../../ui/map";
import { paperInWords } from "../../ui/paper";
import { Page } from "../../ui/parts";
import { type Drawn, draw, isCurrent, notReached, okFor, okForAll } from "../../walk/checks/answering";
import {
  type Check,
  type ChecksFile,
  checksAt,
  columnStops,
  STRIKE,
  type Stop,
  type Walk as WalkOrder,
} from "../../walk/checks/checks";
import { factsOf, limitsOf } from "../../walk/checks/facts";
import { checkPlaceInWords, placeInWords } from "../../walk/checks/places";
import { readingsOf } from "../../walk/checks/procedures";
import { nextOpen, tooFast } from "../../walk/checks/progress";
import type { Show } from "../../walk/show/show";
import { LAST_WALK } from "../show/home";
import { Cables } from "./cables";
import { CheckRow } from "./check";
import { FaultForm } from "./fault";
import { type Ended, ProcedureScreen } from "./procedure";
import { IntoCase, Part } from "./stop_parts";

interface Place {
  show: Show;
  wall: string;
  file: ChecksFile;
  walk: WalkOrder;
  index: number;
}

export function Walk(place: Place) {
  const t = texts();
  const { show, wall, file, walk, index } = place;
  const { book } = show.membership;
  const stop = walk.stops[index] as Stop;
  const checks = checksAt(file, stop);
  const drawn = draw(show.fold, checks);
  const [fault, setFault] = useState<{ check: Check; from: Ended | null } | null>(null);
  const [how, setHow] = useState<Check | null>(null);
  const [notice, setNotice] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const go = (to: number) => {
    location.hash = `#walk/${book}/${wall}/${walk.key}/${to}`;
  };
  useEffect(() => localStorage.setItem(LAST_WALK, location.hash), [index]);

  async function write(body: Body | null, seen: Drawn, onward: boolean) {
    if (!isCurrent(show.fold, seen)) {
      setNotice(t("walk.changed"));
      return;
    }
    if (body === null) return;
    setBusy(true);
    const entry = await append(book, "found", body);
    setNotice(entry && isTooFast(show, entry) ? t("walk.too_fast") : null);
    if (entry && onward) go(nextOpen(show.fold, file, walk, index, show.asked(wall, walk.key)) ?? index);
    setBusy(false);
  }

  /** A procedure that ended well is an ok for its check alone, with what was read off; else a fault. */
  async function take(check: Check, ended: Ended) {
    setHow(null);
    if (ended.end.fault !== null) {
      setFault({ check, from: ended });
      return;
    }
    const seen = { [check.id]: draw(show.fold, [check])[check.id] ?? [] };
    const told = { readings: readingsOf(ended.run), photo_blobs: ended.photos };
    await write({ ...okFor(planOf(place), check, seen, show.fold), ...told }, seen, false);
  }

  if (fault) {
    return <FaultForm show={show} wall={wall} file={file} {...fault} onDone={() => setFault(null)} />;
  }
  if (how) {
    return (
      <ProcedureScreen
        show={show}
        procedure={how.procedure}
        facts={factsOf(file, how.tiles)}
        limits={limitsOf(file, how.tiles)}
        where={placeInWords(t, stop.place)}
        onEnd={(ended) => void take(how, ended)}
        onLeave={() => setHow(null)}
      />
    );
  }
  return (
    <Page book={book} title={`${wall} · ${said(t, "walk", walk.key)}`} back={`#home/${book}`}>
      <div class="walk" data-at={index} aria-busy={busy}>
        <div class="where">
          <WallMap show={show} file={file} walk={walk} at={index} onPick={go} />
          <p class="fine">{t("walk.of", { n: index + 1, total: walk.stops.length })}</p>
        </div>
        <div class="what">
          <div class="heading">
            <h2 data-test="place">{placeInWords(t, stop.place)}</h2>
            <button
              type="button"
              class="quiet"
              data-test="how"
              onClick={() => setHow(firstOpen(show, checks))}
            >
              {t("walk.how")}
            </button>
          </div>
          {stop.place.startsWith("tile/") && (
            <a class="button quiet" href={`#scan/${book}/${wall}/${stop.place.slice("tile/".length)}`}>
              {t("scan.this")}
            </a>
          )}
          <Part show={show} wall={wall} walk={walk} index={index} />
          {walk.key === STRIKE && <IntoCase show={show} wall={wall} place={stop.place} />}
          <Cables file={file} place={stop.place} />
          <ul class="checks">
            {checks.map((check) => (
              <CheckRow
                key={check.id}
                show={show}
                check={check}
                onOk={() =>
                  write(
                    okFor(planOf(place), check, drawn, show.fold),
                    { [check.id]: drawn[check.id] ?? [] },
                    false,
                  )
                }
                onHow={() => setHow(check)}
                onFault={() => setFault({ check, from: null })}
                onNotReached={() => write(notReached(planOf(place), [check.id]), {}, false)}
              />
            ))}
          </ul>
        </div>
        <div class="thumb">
          <p class="saved" aria-live="polite" data-test="saved">
            {notice ?? (saved.value ? t("walk.saved") : "")}
            {` ${paperInWords()}`}
          </p>
          <div class="steps">
            <Undo show={show} />
            {!ONE_BY_ONE.includes(walk.key) && <ColumnOk {...place} write={write} />}
          </div>
          <div class="steps">
            <button type="button" onClick={() => go((index + walk.stops.length - 1) % walk.stops.length)}>
              {t("walk.previous")}
            </button>
            <button type="button" onClick={() => go((index + 1) % walk.stops.length)}>
              {t("walk.next")}
            </button>
          </div>
          <MainOk {...place} checks={checks} drawn={drawn} write={write} />
        </div>
      </div>
    </Page>
  );
}

/** Walks whose stops are an order, or a way around: never a column at once. */
const ONE_BY_ONE = ["guards", "power", STRIKE];
/** What is moved or set for the whole wall is looked at by itself, in the middle of a column too. */
const ALONE = ["lift", "support", "clamp"];

function firstOpen(show: Show, checks: Check[]): Check | null {
  return checks.find(({ id }) => show.fold.state(id).state !== "ok") ?? checks[0] ?? null;
}

type Write = (body: Body | null, seen: Drawn, onward: boolean) => Promise<void>;

function MainOk({
  show,
  file,
  walk,
  index,
  checks,
  drawn,
  write,
  ...place
}: Place & { checks: Check[]; drawn: Drawn; write: Write }) {
  const t = texts();
  const body = okForAll(planOf({ show, ...place }), checks, drawn, show.fold, show.me());
  const faulty = checks.some((check) => show.fold.state(check.id).state === "fault");
  const done = body === null;
  const label = !done
    ? body.checks.length > 1
      ? t("walk.ok_n", { n: body.checks.length })
      : t("walk.ok")
    : faulty
      ? t("walk.faults_first")
      : nextOpen(show.fold, file, walk, index, show.asked(place.wall, walk.key)) === null
        ? t("walk.all_done")
        : t("walk.done");
  return (
    <button
      type="button"
      class="main ok"
      data-test="ok"
      disabled={done}
      onClick={() => write(body, drawn, true)}
    >
      {label}
    </button>
  );
}

function ColumnOk({ show, file, walk, index, write, ...place }: Place & { write: Write }) {
  const t = texts();
  const stops = columnStops(walk, walk.stops[index] as Stop).filter(
    ({ place: at }) => !ALONE.includes(at.split("/")[0] ?? ""),
  );
  const checks = stops.flatMap((stop) => checksAt(file, stop));
  const drawn = draw(show.fold, checks);
  const body = okForAll(planOf({ show, ...place }), checks, drawn, show.fold, show.me());
  if (body === null || stops.length < 2) return null;
  return (
    <button type="button" class="quiet" data-test="column" onClick={() => write(body, drawn, true)}>
      {t("walk.column", { n: body.checks.length })}
    </button>
  );
}

function Undo({ show }: { show: Show }) {
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

/** An entry in a few words; its type where there are none. */
export function entryInWords(entry: KeptEntry): string {
  const t = texts();
  const { type, said: written, body } = entry;
  if (type === UNREADABLE) return written;
  const where = thingsInWords(entry) || checksInWords(t, checksOf(entry));
  return said(t, "entry", type === "found" ? body.result : type, { where });
}

/** The checks that an entry is about. */
function checksOf({ type, body }: KeptEntry): string[] {
  if (type === "found") return body.checks;
  return type === "swapped" ? body.reopens : [];
}

function checksInWords(t: T, checks: string[]): string {
  const first = checks[0] ? checkPlaceInWords(t, checks[0]) : "";
  return checks.length > 1 ? t("entry.many", { where: first, n: checks.length - 1 }) : first;
}

/** The label codes of the things that an entry is about, and of the case that they are in. */
function thingsInWords(entry: KeptEntry): string {
  const codes = itemsOf(entry);
  const more = codes.length > 2 ? [`+${codes.length - 2}`] : [];
  const box = isOfCase(entry) && entry.body.case ? [groupedCode(entry.body.case)] : [];
  return [...codes.slice(0, 2).map(groupedCode), ...more, ...box].join(", ");
}

function itemsOf(entry: KeptEntry): string[] {
  const { type, body } = entry;
  if (isOfCase(entry) || type === "hire_handed_over") return body.items;
  const isOfOne = type === "tile_bound" || type === "item_looked_at" || type === "item_benched";
  return isOfOne && body.item ? [body.item] : [];
}

function isOfCase({ type }: KeptEntry): boolean {
  return type === "item_seen" || type === "case_closed";
}

function planOf({ show, wall }: { show: Show; wall: string }): string {
  return show.plans.get(wall)?.id ?? "";
}

function isTooFast(show: Show, entry: KeptEntry): boolean {
  const own = [...show.entries.values()].filter((other) => other.device === entry.device);
  return tooFast(own).includes(entry.id);
}
