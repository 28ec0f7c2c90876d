/** Looking again, place by place, where an ok came quicker than anybody can walk and look; and saying how it was. */

import { useState } from "preact/hooks";
import type { KeptEntry } from "../../book/entry";
import { at as the } from "../../book/must";
import { said, type T } from "../../texts";
import { append, texts } from "../../ui/app";
import { clock, Page } from "../../ui/parts";
import { draw, isCurrent } from "../../walk/checks/answering";
import checkKinds from "../../walk/checks/kinds.json";
import { checkIdInWords, checkPlaceInWords, placeOf } from "../../walk/checks/places";
import { walkedIn } from "../../walk/findings/groups";
import { isQuick, type Quick } from "../../walk/findings/quick_oks";
import { maySecond } from "../../walk/findings/second_look";
import { whoOf } from "../checks/check";
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

export function QuickScreen(at: AtWall) {
  const t = texts();
  const { show, wall } = at;
  const { book } = show.membership;
  const open = waiting(quickAt(at));
  const places = placesOf(at, open);
  return (
    <Page book={book} title={t("quick.screen", { wall })} back={`#sign/${book}/${wall}`}>
      {open.length === 0 ? <p data-test="quick-none">{t("quick.none")}</p> : <p>{t("quick.how")}</p>}
      <Afterwards {...at} open={open} />
      <ul class="lines" data-test="quick-places">
        {places.slice(0, MOST_PLACES).map((place) => (
          <PlaceLine key={place.key} {...at} place={place} />
        ))}
      </ul>
      {places.length > MOST_PLACES && (
        <p class="fine">{t("sign.more", { n: places.length - MOST_PLACES })}</p>
      )}
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

/** A place: what was found too quickly there, the way to it, and one tap for whoever has looked again. */
function PlaceLine({ place, ...at }: AtWall & { place: Place }) {
  const t = texts();
  const { show, wall, file } = at;
  const [notice, setNotice] = useState<string | null>(null);
  const ids = place.quick.map(({ check }) => check);
  const checks = file.checks.filter(({ id }) => ids.includes(id));
  const mine = checks.filter(({ id }) => maySecond(show.fold, id, show.me()));
  const drawn = draw(show.fold, checks);
  const first = the(place.quick, 0);

  async function look() {
    if (!isCurrent(show.fold, drawn)) return setNotice(t("walk.changed"));
    const body = { plan: show.planOf(wall), result: "ok" as const, answers: [] };
    const named = { ...body, checks: mine.map(({ id }) => id) };
    const entry = await append(show.membership.book, "found", named);
    setNotice(entry && isQuick(show, entry) ? t("walk.too_fast") : null);
  }

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
          {notice}
        </p>
      )}
      {show.may("found") && (
        <button
          type="button"
          data-test="looked-again"
          disabled={mine.length === 0}
          onClick={() => void look()}
        >
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
  const [sure, setSure] = useState(false);
  const isMine = ({ device }: KeptEntry) => show.authorOf(device) === show.me();
  const mine = open.filter(({ oks }) => oks.some(isMine));
  if (mine.length === 0 || !show.may("pace_answered")) return null;

  async function say() {
    if (!sure) return setSure(true);
    const entries = [...new Set(mine.flatMap(({ oks }) => oks.filter(isMine).map(({ id }) => id)))];
    for (let from = 0; from < entries.length; from += MOST_ENTRIES) {
      const named = entries.slice(from, from + MOST_ENTRIES);
      await append(show.membership.book, "pace_answered", { entries: named, answer: "tapped_afterwards" });
    }
    setSure(false);
  }

  return (
    <button type="button" data-test="afterwards" onClick={() => void say()}>
      {t(sure ? "quick.afterwards_sure" : "quick.afterwards", { n: mine.length })}
    </button>
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
