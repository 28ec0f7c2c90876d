/** Looking again, place by place, where an ok came quicker than anybody can walk and look; and saying how it was. */

import { useState } from "preact/hooks";
import type { Bodies } from "../../book/bodies";
import type { KeptEntry } from "../../book/entry";
import { at as the } from "../../book/must";
import { type Key, said, type T } from "../../texts";
import { append, texts } from "../../ui/app";
import { clock, Page } from "../../ui/parts";
import { SureButton, useSteady } from "../../ui/steady";
import { type Drawn, draw } from "../../walk/checks/answering";
import checkKinds from "../../walk/checks/kinds.json";
import { checkIdInWords, checkPlaceInWords, placeOf } from "../../walk/checks/places";
import { walkedIn } from "../../walk/findings/groups";
import { isQuick, type Quick } from "../../walk/findings/quick_oks";
import { maySecond } from "../../walk/findings/second_look";
import { useWriting } from "../checks/writing";
import { whoOf } from "../people";
import type { AtWall } from "../place";
import { addressOf } from "./groups";
import { quickAt, waiting } from "./quick_section";

/** As many places as a phone draws at once; the others follow as these are looked at. */
const MOST_PLACES = 60;

/** As many entries as one answer may name. */
const MOST_ENTRIES = 5000;

/** The checks of one place that are to be looked at again. */
interface Place {
  key: string;
  quick: Quick[];
}

/** Write that a place was looked at again, over what was drawn there. */
type Look = (place: Place, body: Bodies["found"], seen: Drawn) => Promise<void>;

export function QuickScreen(at: AtWall) {
  const t = texts();
  const { show, wall } = at;
  const { book } = show.membership;
  const { write, notice, busy, asks } = useWriting(at, at.wall);
  /** The place that was tapped last, and whether that was too quick again. */
  const [last, setLast] = useState({ key: "", fast: false });
  const open = waiting(quickAt(at));
  const places = placesOf(at, open).slice(0, MOST_PLACES);
  const more = placesOf(at, open).length - places.length;
  // the list slides under the thumb with every place that is looked at
  const steady = useSteady(places.map(({ key }) => key).join(" "));
  const look: Look = ({ key }, body, seen) => {
    setLast({ key, fast: false });
    return write([body], seen, (entry) => setLast({ key, fast: entry !== null && isQuick(show, entry) }));
  };
  if (asks) return asks;
  return (
    <Page book={book} title={t("quick.screen", { wall })} back={`#sign/${book}/${wall}`}>
      {open.length === 0 ? <p data-test="quick-none">{t("quick.none")}</p> : <p>{t("quick.how")}</p>}
      <Afterwards {...at} open={open} />
      <ul class="lines" data-test="quick-places">
        {places.map((place) => (
          <PlaceLine
            key={place.key}
            {...at}
            place={place}
            ready={steady && !busy.value}
            notice={place.key === last.key ? (notice ?? (last.fast ? "walk.too_fast" : null)) : null}
            onLook={look}
          />
        ))}
      </ul>
      {more > 0 && <p class="fine">{t("sign.more", { n: more })}</p>}
      <Rule />
    </Page>
  );
}

/** By place, in walking order. */
function placesOf({ file }: AtWall, open: Quick[]): Place[] {
  const walked = walkedIn(file);
  const stopOf = ({ check }: Quick) => walked.get(check)?.stop ?? 0;
  const places = new Map<string, Place>();
  for (const quick of [...open].sort((a, b) => stopOf(a) - stopOf(b))) {
    const key = `${walked.get(quick.check)?.walk}/${placeOf(quick.check)}`;
    const place = places.get(key);
    if (place) place.quick.push(quick);
    else places.set(key, { key, quick: [quick] });
  }
  return [...places.values()];
}

interface Line extends AtWall {
  place: Place;
  /** Whether a tap is meant for what lies there now. */
  ready: boolean;
  notice: Key | null;
  onLook: Look;
}

/** A place: what was found too quickly there, the way to it, and one tap for whoever has looked again. */
function PlaceLine({ place, ready, notice, onLook, ...at }: Line) {
  const t = texts();
  const { show, wall, file } = at;
  const ids = place.quick.map(({ check }) => check);
  const checks = file.checks.filter(({ id }) => ids.includes(id));
  const mine = checks.filter(({ id }) => maySecond(show.fold, id, show.me()));
  const drawn = draw(show.fold, checks);
  const first = the(place.quick, 0);
  const look = () => {
    const named = { plan: show.planOf(wall), checks: mine.map(({ id }) => id) };
    void onLook(place, { ...named, result: "ok", answers: [] }, drawn);
  };
  return (
    <li class="look_again" data-test="quick-place">
      <p>
        <a href={addressOf(at, first.check)}>
          <strong>{checkPlaceInWords(t, first.check)}</strong>
        </a>{" "}
        {ids.map((check) => checkIdInWords(t, check)).join(" · ")}{" "}
        <span class="fine">{byWhom(t, show, first)}</span>
      </p>
      {show.may("found") && mine.length < checks.length && <p class="notice">{t("walk.other_person")}</p>}
      {notice !== null && (
        <p class="notice" role="status">
          {t(notice)}
        </p>
      )}
      {show.may("found") && (
        <button type="button" data-test="looked-again" disabled={!ready || mine.length === 0} onClick={look}>
          {t("quick.ok")}
        </button>
      )}
    </li>
  );
}

function byWhom(t: T, show: AtWall["show"], { oks }: Quick): string {
  const [entry] = oks;
  return entry ? t("fault.by", { who: whoOf(show, entry), at: clock(entry.at) }) : "";
}

/** Whoever looked first and tapped later says so, for all of their own taps at once; said at the second tap. */
function Afterwards({ show, open }: AtWall & { open: Quick[] }) {
  const t = texts();
  const isMine = ({ device }: KeptEntry) => show.authorOf(device) === show.me();
  const mine = open.filter(({ oks }) => oks.some(isMine));
  if (mine.length === 0 || !show.may("pace_answered")) return null;

  async function say() {
    const entries = [...new Set(mine.flatMap(({ oks }) => oks.filter(isMine).map(({ id }) => id)))];
    for (let from = 0; from < entries.length; from += MOST_ENTRIES) {
      const named = entries.slice(from, from + MOST_ENTRIES);
      await append(show.membership.book, "pace_answered", { entries: named, answer: "tapped_afterwards" });
    }
  }

  return (
    <SureButton
      test="afterwards"
      words={t("quick.afterwards", { n: mine.length })}
      sure={t("quick.afterwards_sure", { n: mine.length })}
      onSure={say}
    />
  );
}

/** The rule in full, with the least time of each kind of look. */
function Rule() {
  const t = texts();
  const { look_ms, walk_ms, ahead_ms } = checkKinds.pace;
  return (
    <details class="rule">
      <summary>{t("quick.rule")}</summary>
      <p>{t("quick.rule_how", { walk: walk_ms / 1000, ahead: ahead_ms / 1000 })}</p>
      <ul class="places">
        {Object.entries(look_ms).map(([kind, ms]) => (
          <li key={kind}>
            {said(t, "check", kind, { expect: "…" })}: {t("quick.seconds", { s: ms / 1000 })}
          </li>
        ))}
      </ul>
    </details>
  );
}
