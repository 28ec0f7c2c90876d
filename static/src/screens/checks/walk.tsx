/** One stop of a walk: where to stand, what to look at, one thumb to say so. */

import { useEffect, useState } from "preact/hooks";
import type { Bodies } from "../../book/bodies";
import { said } from "../../texts";
import { append, saved, texts } from "../../ui/app";
import { WallMap } from "../../ui/map";
import { paperInWords } from "../../ui/paper";
import { Page } from "../../ui/parts";
import { type Drawn, draw, isCurrent, notReached, okFor } from "../../walk/checks/answering";
import { type Check, checksAt, STRIKE } from "../../walk/checks/checks";
import { factsOf, limitsOf } from "../../walk/checks/facts";
import { placeInWords } from "../../walk/checks/places";
import { chosenOf, readingsOf } from "../../walk/checks/procedures";
import { nextOpen } from "../../walk/checks/progress";
import type { AtStop } from "../place";
import { LAST_WALK } from "../show/home";
import { Cables } from "./cables";
import { CheckRow } from "./check";
import { FaultForm } from "./fault";
import { type Ended, ProcedureScreen } from "./procedure";
import { ColumnOk, isTooFast, MainOk, Undo, type Write } from "./stop_oks";
import { IntoCase, Part } from "./stop_parts";

/** A stop with its checks and what stood at each when it was drawn. */
interface Stand extends AtStop {
  place: string;
  checks: Check[];
  drawn: Drawn;
}

/** What a thumb can do at a stop. */
interface Hands {
  write: Write;
  askHow: (check: Check) => void;
  tellFault: (check: Check) => void;
}

/** A stop; over it the form of a fault or the steps of a procedure, while one is open. */
export function Walk(at: AtStop) {
  const { show, wall, file, walk, index } = at;
  const [fault, setFault] = useState<{ check: Check; from: Ended | null } | null>(null);
  const [how, setHow] = useState<Check | null>(null);
  const { write, notice, busy } = useWriting(at);
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

  const stand = standOf(at);
  if (fault) {
    return <FaultForm show={show} wall={wall} file={file} {...fault} onDone={() => setFault(null)} />;
  }
  if (how) return <How {...stand} check={how} onEnd={take} onLeave={() => setHow(null)} />;
  const hands = { write, askHow: setHow, tellFault: (check: Check) => setFault({ check, from: null }) };
  const { book } = show.membership;
  return (
    <Page book={book} title={`${wall} · ${said(texts(), "walk", walk.key)}`} back={`#home/${book}`}>
      <div class="walk" data-at={index} aria-busy={busy}>
        <Where {...at} />
        <What {...stand} hands={hands} />
        <Thumb {...stand} write={write} notice={notice} />
      </div>
    </Page>
  );
}

function standOf(at: AtStop): Stand {
  const { show, file, walk, index } = at;
  const stop = walk.stops[index];
  const checks = stop ? checksAt(file, stop) : [];
  return { ...at, place: stop?.place ?? "", checks, drawn: draw(show.fold, checks) };
}

function goTo({ show, wall, walk }: AtStop, index: number): void {
  location.hash = `#walk/${show.membership.book}/${wall}/${walk.key}/${index}`;
}

/** Writing at a stop: refused where the screen is out of date, slowed down where somebody is too fast. */
function useWriting(at: AtStop): { write: Write; notice: string | null; busy: boolean } {
  const t = texts();
  const { show, wall, file, walk, index } = at;
  const [notice, setNotice] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);

  async function write(body: Bodies["found"] | null, seen: Drawn, onward: boolean) {
    if (!isCurrent(show.fold, seen)) {
      setNotice(t("walk.changed"));
      return;
    }
    if (body === null) return;
    setBusy(true);
    const entry = await append(show.membership.book, "found", body);
    setNotice(entry && isTooFast(show, entry) ? t("walk.too_fast") : null);
    if (entry && onward)
      goTo(at, nextOpen(show.fold, file, walk, index, show.asked(wall, walk.key)) ?? index);
    setBusy(false);
  }

  return { write, notice, busy };
}

/** The steps of a check's procedure. */
function How({
  show,
  file,
  place,
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
      where={placeInWords(texts(), place)}
      onEnd={(ended) => void onEnd(check, ended)}
      onLeave={onLeave}
    />
  );
}

/** The map with this stop lit. */
function Where(at: AtStop) {
  const { show, file, walk, index } = at;
  return (
    <div class="where">
      <WallMap show={show} file={file} walk={walk} at={index} onPick={(to) => goTo(at, to)} />
      <p class="fine">{texts()("walk.of", { n: index + 1, total: walk.stops.length })}</p>
    </div>
  );
}

/** What is looked at here, and what is good to know of it. */
function What({ hands, ...stand }: Stand & { hands: Hands }) {
  const t = texts();
  const { show, wall, file, walk, index, place, checks } = stand;
  const [kind, tile] = place.split("/");
  const first = checks.find(({ id }) => show.fold.state(id).state !== "ok") ?? checks[0];
  return (
    <div class="what">
      <div class="heading">
        <h2 data-test="place">{placeInWords(t, place)}</h2>
        <button type="button" class="quiet" data-test="how" onClick={() => first && hands.askHow(first)}>
          {t("walk.how")}
        </button>
      </div>
      {kind === "tile" && (
        <a class="button quiet" href={`#scan/${show.membership.book}/${wall}/${tile}`}>
          {t("scan.this")}
        </a>
      )}
      <Part show={show} wall={wall} walk={walk} index={index} />
      {walk.key === STRIKE && <IntoCase show={show} wall={wall} place={place} />}
      <Cables file={file} place={place} />
      <ul class="checks">
        {checks.map((check) => (
          <Row key={check.id} {...stand} check={check} hands={hands} />
        ))}
      </ul>
    </div>
  );
}

/** One check of the stop, and what can be said of it alone. */
function Row({ check, hands, ...stand }: Stand & { check: Check; hands: Hands }) {
  const { show, drawn } = stand;
  const ok = () => {
    const seen = { [check.id]: drawn[check.id] ?? [] };
    return hands.write(okFor(show.planOf(stand.wall), check, drawn, show.fold), seen, false);
  };
  return (
    <CheckRow
      show={show}
      check={check}
      onOk={ok}
      onHow={() => hands.askHow(check)}
      onFault={() => hands.tellFault(check)}
      onNotReached={() => hands.write(notReached(show.planOf(stand.wall), [check.id]), {}, false)}
    />
  );
}

/** What a thumb reaches: taking back, the column at once, the stops beside, one large OK. */
function Thumb({ write, notice, ...stand }: Stand & { write: Write; notice: string | null }) {
  const t = texts();
  const { show, walk, index } = stand;
  const total = walk.stops.length;
  return (
    <div class="thumb">
      <p class="saved" aria-live="polite" data-test="saved">
        {notice ?? (saved.value ? t("walk.saved") : "")}
        {` ${paperInWords()}`}
      </p>
      <div class="steps">
        <Undo show={show} />
        <ColumnOk {...stand} write={write} />
      </div>
      <div class="steps">
        <button type="button" onClick={() => goTo(stand, (index + total - 1) % total)}>
          {t("walk.previous")}
        </button>
        <button type="button" onClick={() => goTo(stand, (index + 1) % total)}>
          {t("walk.next")}
        </button>
      </div>
      <MainOk {...stand} write={write} />
    </div>
  );
}
