/** Sharing a walk out among the crew, and how long it will still take. */

import { useState } from "preact/hooks";
import { said, type T } from "../../texts";
import { append, textOf, texts } from "../../ui/app";
import { Ticks } from "../../ui/fields";
import { useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { checksAt, placesAt } from "../../walk/checks/checks";
import { eta, paces } from "../../walk/checks/pace";
import { placeInWords } from "../../walk/checks/places";
import { asksFor } from "../../walk/checks/progress";
import { type Part, share } from "../../walk/checks/sharing";
import type { Show } from "../../walk/show/show";
import type { OnWalk } from "../place";

export function Share(at: OnWalk) {
  const t = texts();
  const { show, wall, walk } = at;
  const { book } = show.membership;
  const parts: Part[] = show.records.sharing(wall, walk.key)?.body.parts ?? [];
  const weights = weightsOf(at);
  const whole = { person: "", first: 0, last: walk.stops.length - 1 };
  const longest = Math.max(...(parts.length > 0 ? parts : [whole]).map((part) => placesLeft(at, part)));
  return (
    <Page book={book} title={t("share.title", { walk: said(t, "walk", walk.key) })} back={`#home/${book}`}>
      <p>{t("share.how")}</p>
      {show.may("work_shared") && <Cut {...at} parts={parts} weights={weights} />}
      <ul class="lines" data-test="parts">
        {parts.map((part) => (
          <li key={part.person}>
            <strong class="grow">{nameOf(show, part.person)}</strong>{" "}
            {t("share.part", { ...ends(t, at, part), open: placesLeft(at, part) })}
          </li>
        ))}
      </ul>
      <Eta show={show} places={longest} />
    </Page>
  );
}

/** From where to where a stretch goes, in words. */
function ends(t: T, { walk }: OnWalk, { first, last }: Part) {
  const words = (index: number) => placeInWords(t, walk.stops[index]?.place ?? "");
  return { from: words(first), to: words(last) };
}

/** How many places of a stretch are still to be looked at. */
function placesLeft({ show, file, walk }: OnWalk, { first, last }: Part): number {
  const stops = walk.stops.slice(first, last + 1);
  const open = stops.filter((stop) => asksFor(show.fold, file, stop, "") === "look");
  return open.reduce((sum, stop) => sum + placesAt(file, stop).length, 0);
}

/** How much is still to look at, stop by stop, in checks. */
function weightsOf({ show, file, walk }: OnWalk): number[] {
  return walk.stops.map((stop) =>
    asksFor(show.fold, file, stop, "") === "look" ? checksAt(file, stop).length : 0,
  );
}

function nameOf(show: Show, person: string): string {
  return textOf(show.membership.book, show.crew().get(person) ?? null) || person.slice(0, 6);
}

/** Who walks, and cutting the walk among them. */
function Cut({ show, wall, walk, parts, weights }: OnWalk & { parts: Part[]; weights: number[] }) {
  const t = texts();
  const [chosen, setChosen] = useState(() => new Set(parts.map(({ person }) => person)));
  const sharing = new Set(parts.map(({ person }) => person));
  useHalfEntered(chosen.size !== sharing.size || [...chosen].some((person) => !sharing.has(person)));

  async function cut() {
    const made = share(weights, [...chosen]);
    if (made.length === 0) return;
    const body = { plan: show.planOf(wall), wall, walk: walk.key, parts: made };
    await append(show.membership.book, "work_shared", body);
  }

  return (
    <>
      <Ticks
        legend={t("share.who")}
        keys={show.walkers()}
        isOn={(person) => chosen.has(person)}
        onTick={(person, on) =>
          setChosen(new Set(on ? [...chosen, person] : [...chosen].filter((other) => other !== person)))
        }
        word={(person) => nameOf(show, person)}
      />
      <button
        type="button"
        class="main"
        data-test="share"
        disabled={chosen.size === 0}
        onClick={() => void cut()}
      >
        {t(parts.length > 0 ? "share.again" : "share.do")}
      </button>
    </>
  );
}

/** How long these places will still take, at this crew's pace so far. */
function Eta({ show, places }: { show: Show; places: number }) {
  const t = texts();
  const found = [...show.entries.values()].filter(({ type }) => type === "found");
  const time = eta(places, paces(found));
  if (time === null) return <p data-test="eta">{t("share.no_eta")}</p>;
  const { minutes, from, to, seen } = time;
  const words = { minutes: Math.ceil(minutes), from: Math.floor(from), to: Math.ceil(to), seen };
  return <p data-test="eta">{t("share.eta", words)}</p>;
}
