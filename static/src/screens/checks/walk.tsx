/** One stop of a walk: where to stand, what to look at, one thumb to say so. */

import type { ReadonlySignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Bodies } from "../../book/bodies";
import { said } from "../../texts";
import { changes, paper, saved, texts } from "../../ui/app";
import { goTo } from "../../ui/half_entered";
import { SideButton, WallMap } from "../../ui/map";
import { type OnScreen, useOnScreen } from "../../ui/on_screen";
import { paperInWords } from "../../ui/paper";
import { FullPage } from "../../ui/parts";
import { useStateOf } from "../../ui/state_of";
import { stopAddress } from "../../walk/checks/addresses";
import { type Drawn, draw, notReached, okFor, okForDue } from "../../walk/checks/answering";
import { type Check, checksAt, STRIKE } from "../../walk/checks/checks";
import { factsOf, limitsOf } from "../../walk/checks/facts";
import { checkPlaceInWords, placeInWords } from "../../walk/checks/places";
import { chosenOf, readingsOf } from "../../walk/checks/procedures";
import { nextOpen } from "../../walk/checks/progress";
import { isQuick } from "../../walk/findings/quick_oks";
import { standsAs } from "../../walk/findings/second_look";
import type { AtStop } from "../place";
import { LAST_WALK } from "../show/home";
import { KeptReason } from "./ahead";
import { FoldedCables } from "./cables";
import { CheckRow } from "./check";
import { FaultForm } from "./fault";
import { BlockSize, headOf, type Look, namesAt, Places, RunLength, useLook } from "./look";
import { OlderActs, Undo } from "./own_acts";
import { type Ended, ProcedureScreen } from "./procedure";
import { MainOk, type Write } from "./stop_oks";
import { IntoCase, Part } from "./stop_parts";
import { useWriting, type Writing } from "./writing";

/** A stop with its checks and what stood at each when it was drawn. */
interface Stand extends AtStop {
  look: Look;
  place: string;
  checks: Check[];
  drawn: Drawn;
  /** What one OK writes here: of the checks whose turn has come; null where nothing is left to say. */
  ok: Bodies["found"] | null;
}

/** What a thumb can do at a stop. */
interface Hands {
  write: Write;
  askHow: (check: Check) => void;
  tellFault: (check: Check) => void;
}

/** A stop, or a fault's form or a procedure's steps over it. It stays from stop to stop: a tap draws what it changed. */
export function Walk(at: AtStop) {
  // what stands at the checks is drawn here: again with every change, whoever made it
  void changes.value;
  const { show, wall, file, index } = at;
  const [fault, setFault] = useStateOf<{ check: Check; from: Ended | null } | null>(
    String(index),
    () => null,
  );
  const [how, setHow] = useStateOf<Check | null>(String(index), () => null);
  const { write, notice, busy, asks } = useStopWriting(at);
  useEffect(() => localStorage.setItem(LAST_WALK, location.hash), [index]);

  /** A procedure that ended well is an ok for its check alone, with what was read off; else a fault. */
  async function take(check: Check, ended: Ended) {
    setHow(null);
    if (ended.end.fault !== null) {
      setFault({ check, from: ended });
      return;
    }
    const seen = { [check.id]: draw(show.fold, [check])[check.id] ?? [] };
    const { run, photos } = ended;
    const told = { readings: readingsOf(run), chosen: chosenOf(run), photo_blobs: photos };
    await write({ ...okFor(show.planOf(wall), check, seen, show.fold), ...told }, seen, false);
  }

  const look = useLook(at);
  const stand = standOf(at, look);
  if (fault) {
    return <FaultForm show={show} wall={wall} file={file} {...fault} onDone={() => setFault(null)} />;
  }
  if (asks) return asks;
  if (how) return <How {...stand} check={how} onEnd={take} onLeave={() => setHow(null)} />;
  const hands = { write, askHow: setHow, tellFault: (check: Check) => setFault({ check, from: null }) };
  return <Stop {...stand} hands={hands} notice={notice && texts()(notice)} busy={busy} />;
}

/** The screen of a stop: map, place and checks, and the thumb's buttons, none of which covers another. */
function Stop({
  hands,
  notice,
  busy,
  ...stand
}: Stand & { hands: Hands; notice: string | null; busy: ReadonlySignal<boolean> }) {
  const t = texts();
  const { show, wall, walk, index, place, drawn } = stand;
  const { book } = show.membership;
  const screen = useOnScreen(`${index}/${place} ${JSON.stringify(drawn)}`, index);
  const under = (
    <p class="fine" aria-live="polite" data-test="saved">
      {t("walk.of", { n: index + 1, total: walk.stops.length })}
      {saved.value && ` · ${t("walk.saved")}`}
    </p>
  );
  return (
    <FullPage
      book={book}
      title={`${wall} · ${said(t, "walk", walk.key)}`}
      under={under}
      back={`#home/${book}`}
    >
      <div class="walk" data-at={`${wall}/${walk.key}/${index}`} aria-busy={busy}>
        <div class="stand">
          <Where {...stand} />
          <What {...stand} screen={screen} hands={hands} />
        </div>
        <Thumb {...stand} screen={screen} write={hands.write} notice={notice} />
      </div>
    </FullPage>
  );
}

function standOf(at: AtStop, look: Look): Stand {
  const checks = checksAt(at.file, look.stop);
  const drawn = draw(at.show.fold, checks);
  const ok = okForDue(at.show, at.wall, at.file, checks, drawn);
  return { ...at, look, place: look.stop.place, checks, drawn, ok };
}

function goToStop({ show, wall, walk }: AtStop, index: number): void {
  goTo(stopAddress(show.membership.book, wall, walk.key, index));
}

/** Writing at a stop, and then on to the next one that asks for something, where it says so if that was too fast. */
function useStopWriting(at: AtStop): Omit<Writing, "write"> & { write: Write } {
  const { show, wall, file, walk, index } = at;
  const [fastAt, setFastAt] = useState<number | null>(null);
  const { write, notice, ...writing } = useWriting(at, String(index));

  async function writeHere(body: Bodies["found"] | null, seen: Drawn, onward: boolean) {
    await write(body ? [body] : [], seen, (entry) => {
      if (entry === null) return setFastAt(null);
      // what is left here waits for something else
      const further = onward ? nextOpen(show.fold, file, walk, index + 1, show.asked(wall, walk.key)) : null;
      setFastAt(isQuick(show, entry) ? (further ?? index) : null);
      if (further !== null) goToStop(at, further);
    });
  }

  return { ...writing, write: writeHere, notice: notice ?? (fastAt === index ? "walk.too_fast" : null) };
}

/** The steps of a check's procedure. */
function How({
  show,
  file,
  check,
  onEnd,
  onLeave,
}: Stand & { check: Check; onEnd: (check: Check, ended: Ended) => Promise<void>; onLeave: () => void }) {
  return (
    <ProcedureScreen
      show={show}
      procedure={check.procedure}
      facts={factsOf(file, check.tiles)}
      limits={limitsOf(file, check.tiles)}
      where={checkPlaceInWords(texts(), check.id)}
      onEnd={(ended) => void onEnd(check, ended)}
      onLeave={onLeave}
    />
  );
}

/** The map, with what the OK answers lit. */
function Where(stand: Stand) {
  const { show, file, walk, checks, ok } = stand;
  const lit = new Set(ok?.checks ?? checks.map(({ id }) => id));
  return (
    <div class="where">
      <WallMap show={show} file={file} walk={walk} lit={lit} onPick={(to) => goToStop(stand, to)} />
    </div>
  );
}

/** What is looked at here, and below it what is good to know of it. */
function What({ screen, hands, ...stand }: Stand & { screen: OnScreen; hands: Hands }) {
  const t = texts();
  const { show, wall, file, walk, index, look, place, checks } = stand;
  const head = headOf(file, look.stop);
  const row = (check: Check, words: ComponentChildren) => (
    <Row {...stand} check={check} words={words} hands={hands} />
  );
  return (
    <section class="what" ref={screen.frame} aria-label={t("walk.checks")}>
      <div ref={screen.first}>
        <h2 data-test="place" data-shows={head}>
          {placeInWords(t, head)}
        </h2>
        {walk.key === STRIKE && <IntoCase show={show} wall={wall} place={place} />}
        {show.may("found") && <RunLength {...look} />}
        <Places file={file} stop={look.stop} row={row} />
        <Part show={show} wall={wall} walk={walk} index={index} />
        <KeptReason {...stand} />
        <Undo show={show} checks={checks} />
      </div>
      <More {...stand} hands={hands} />
    </section>
  );
}

/** What else can be done here: it gives way to the checks. */
function More({ hands, ...stand }: Stand & { hands: Hands }) {
  const t = texts();
  const { show, wall, file, index, look, place, checks } = stand;
  const [kind, tile] = place.split("/");
  const first = checks.find(({ id }) => show.fold.state(id).state !== "ok") ?? checks[0];
  return (
    <>
      <div class="more">
        {show.may("found") && (
          <button type="button" class="quiet" data-test="how" onClick={() => first && hands.askHow(first)}>
            {t("walk.how")}
          </button>
        )}
        {kind === "tile" && show.may("tile_bound") && (
          <a class="button quiet" href={`#scan/${show.membership.book}/${wall}/${tile}`}>
            {t("scan.this")}
          </a>
        )}
        <SideButton />
        <OlderActs show={show} />
      </div>
      {show.may("found") && <BlockSize {...look} />}
      <FoldedCables key={index} file={file} place={place} />
    </>
  );
}

/** One check of the stop, and what can be said of it alone. */
function Row({
  check,
  words,
  hands,
  ...stand
}: Stand & { check: Check; words: ComponentChildren; hands: Hands }) {
  const { show, drawn, ok: all } = stand;
  const isOpen = !["ok", "fault"].includes(standsAs(show.fold, check.id).state);
  const ok = () => {
    const seen = { [check.id]: drawn[check.id] ?? [] };
    return hands.write(okFor(show.planOf(stand.wall), check, drawn, show.fold), seen, false);
  };
  return (
    <CheckRow
      show={show}
      check={check}
      words={words}
      waits={isOpen && all !== null && !all.checks.includes(check.id)}
      onOk={ok}
      onHow={() => hands.askHow(check)}
      onFault={() => hands.tellFault(check)}
      onNotReached={() => hands.write(notReached(show.planOf(stand.wall), [check.id]), {}, false)}
    />
  );
}

/** What a thumb reaches: one large OK, and the stops beside. */
function Thumb({
  screen,
  write,
  notice,
  ...stand
}: Stand & { screen: OnScreen; write: Write; notice: string | null }) {
  const t = texts();
  const { walk, index } = stand;
  const total = walk.stops.length;
  const told = notice ?? (paper.value === null ? "" : paperInWords());
  return (
    <div class="thumb">
      <p class="told" aria-live="polite">
        {told}
      </p>
      <button
        type="button"
        class="beside previous"
        aria-label={t("walk.previous")}
        onClick={() => goToStop(stand, (index + total - 1) % total)}
      >
        ‹
      </button>
      <MainOk {...stand} names={namesAt(stand.file, stand.look.stop)} screen={screen} write={write} />
      <button
        type="button"
        class="beside next"
        aria-label={t("walk.next")}
        onClick={() => goToStop(stand, (index + 1) % total)}
      >
        ›
      </button>
    </div>
  );
}
