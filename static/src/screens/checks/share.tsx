/** Sharing a walk out among the crew, and how long it will still take. */

import { useState } from "preact/hooks";
import { said, type T } from "../../texts";
import { append, texts } from "../../ui/app";
import { Ticks } from "../../ui/fields";
import { useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { SteadyButton } from "../../ui/steady";
import { checksAt, placesAt } from "../../walk/checks/checks";
import { eta, paces } from "../../walk/checks/pace";
import { placeInWords } from "../../walk/checks/places";
import { asksFor } from "../../walk/checks/progress";
import { type Part, share } from "../../walk/checks/sharing";
import type { Show } from "../../walk/show/show";
import { nameOf } from "../people";
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
            <strong class="grow">{nameOf(show, part.person)}</strong> {partInWords(t, at, part)}
          </li>
        ))}
      </ul>
      <Eta show={show} places={longest} />
    </Page>
  );
}

/** From where to where a stretch goes; one place is said once. */
function partInWords(t: T, at: OnWalk, part: Part): string {
  const open = placesLeft(at, part);
  const words = (index: number) => placeInWords(t, at.walk.stops[index]?.place ?? "");
  const [from, to] = [words(part.first), words(part.last)];
  return from === to ? t("share.part_one", { place: from, open }) : t("share.part", { from, to, open });
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

/** Who walks, and cutting the walk among them. */
function Cut({ show, wall, walk, parts, weights }: OnWalk & { parts: Part[]; weights: number[] }) {
  const t = texts();
  const [chosen, setChosen] = useState(() => new Set(parts.map(({ person }) => person)));
  const sharing = new Set(parts.map(({ person }) => person));
  const [idle, setIdle] = useState<string[]>([]);
  const made = share(weights, [...chosen]);
  useHalfEntered(chosen.size !== sharing.size || [...chosen].some((person) => !sharing.has(person)));

  async function cut() {
    const body = { plan: show.planOf(wall), wall, walk: walk.key, parts: made };
    if ((await append(show.membership.book, "work_shared", body)) === null) return;
    // whoever gets nothing is no part of the sharing, and is told
    setIdle(withoutPart(chosen, made));
    setChosen((now) => (now === chosen ? new Set(made.map(({ person }) => person)) : now));
  }

  return (
    <>
      <Ticks
        legend={t("share.who")}
        keys={show.walkers()}
        isOn={(person) => chosen.has(person)}
        onTick={(person, on) => {
          setIdle([]);
          setChosen(new Set(on ? [...chosen, person] : [...chosen].filter((other) => other !== person)));
        }}
        word={(person) => nameOf(show, person)}
      />
      <Idle show={show} people={[...idle, ...withoutPart(chosen, made)]} stretches={made.length} />
      <SteadyButton of="share" class="main" test="share" disabled={made.length === 0} onClick={cut}>
        {t(parts.length > 0 ? "share.again" : "share.do")}
      </SteadyButton>
    </>
  );
}

/** Those that were chosen and for whom no stretch is left. */
function withoutPart(chosen: ReadonlySet<string>, parts: Part[]): string[] {
  return [...chosen].filter((one) => !parts.some(({ person }) => person === one));
}

/** Who gets nothing, and why. */
function Idle({ show, people, stretches }: { show: Show; people: string[]; stretches: number }) {
  if (people.length === 0) return null;
  const who = people.map((person) => nameOf(show, person)).join(", ");
  return (
    <p class="notice" role="status" data-test="idle">
      {texts()("share.idle", { n: stretches, who })}
    </p>
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
