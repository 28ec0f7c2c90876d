/** What one look takes in: its places in words with their checks, and how many tiles of a case go together. */

import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { at } from "../../book/must";
import { texts } from "../../ui/app";
import { type Check, type ChecksFile, type Place, placesAt, type Stop } from "../../walk/checks/checks";
import { placeInWords } from "../../walk/checks/places";
import { caseSize, isOfRun, LONGEST_RUN, together } from "../../walk/checks/together";
import type { AtStop } from "../place";
import { checkInWords } from "./check";

const RUN = "seamwalk-run";

/** What a stop takes in, the length of its run where it has one, and setting it. */
export interface Look {
  stop: Stop;
  run: number | null;
  setRun: (tiles: number) => void;
}

/** The look at a stop: it stays what it was when it was opened, whatever is written meanwhile. */
export function useLook(here: AtStop): Look {
  const stop = at(here.walk.stops, here.index);
  const [look, setLook] = useState(() => {
    const run = Number(localStorage.getItem(RUN)) || caseSize(here.file, stop);
    return { run: Math.min(run, LONGEST_RUN), stop: together(here, run) };
  });
  const setRun = (run: number) => {
    localStorage.setItem(RUN, String(run));
    setLook({ run, stop: together(here, run) });
  };
  return { stop: look.stop, run: isOfRun(here) ? look.run : null, setRun };
}

/** How many tiles are looked at together, where no label says which case they came out of. */
export function RunLength({ run, setRun }: Look) {
  const t = texts();
  if (run === null) return null;
  return (
    <fieldset class="run">
      <legend>{t("walk.run", { n: run })}</legend>
      <button
        type="button"
        aria-label={t("walk.run_less")}
        disabled={run <= 1}
        onClick={() => setRun(run - 1)}
      >
        −
      </button>
      <button
        type="button"
        aria-label={t("walk.run_more")}
        disabled={run >= LONGEST_RUN}
        onClick={() => setRun(run + 1)}
      >
        +
      </button>
    </fieldset>
  );
}

/**
 * The checks of a stop in a list, each with its place: a stop of one place has it for its heading, a place of one check
 * says it at the check, and else it stands above its checks. What is asked alike at every place is said once.
 */
export function Places({ file, stop, row }: { file: ChecksFile; stop: Stop; row: Row }) {
  const t = texts();
  const places = placesAt(file, stop);
  const alike = askedAlike(places);
  const head = headOf(file, stop);
  return (
    <>
      {alike !== null && <p class="alike">{alike}</p>}
      <ul class="checks">
        {places.flatMap(({ place, checks }) => {
          const where = place === head ? null : placeInWords(t, place);
          const [only] = checks;
          if (where !== null && checks.length === 1 && only !== undefined) {
            return row(only, <AtPlace where={where} check={alike === null ? only : null} />);
          }
          const rows = checks.map((check) => row(check, checkInWords(check)));
          return where === null ? rows : [<PlaceLine key={place} place={place} where={where} />, ...rows];
        })}
      </ul>
    </>
  );
}

/** What a stop is headed by: its only place, else what all of its places are of. */
export function headOf(file: ChecksFile, stop: Stop): string {
  const [only, ...more] = placesAt(file, stop);
  return only !== undefined && more.length === 0 ? only.place : stop.place;
}

/** The names that must be on the screen with the checks of a stop: its head, and of each place that has a line. */
export function namesAt(file: ChecksFile, stop: Stop): string[] {
  const head = headOf(file, stop);
  const lines = placesAt(file, stop).filter(({ place, checks }) => place !== head && checks.length > 1);
  return [head, ...lines.map(({ place }) => place)];
}

/** A check as a list item, in these words. */
type Row = (check: Check, words: ComponentChildren) => ComponentChildren;

/** What is looked at at each of several places, where it is one thing and everywhere the same; else null. */
function askedAlike(places: Place[]): string | null {
  const asked = new Set(places.flatMap(({ checks }) => checks.map(checkInWords)));
  const [words] = asked;
  const single = places.length > 1 && places.every(({ checks }) => checks.length === 1);
  return single && asked.size === 1 && words !== undefined ? words : null;
}

function AtPlace({ where, check }: { where: string; check: Check | null }) {
  return (
    <>
      <strong>{where}</strong> {check && checkInWords(check)}
    </>
  );
}

function PlaceLine({ place, where }: { place: string; where: string }) {
  return (
    <li class="place" data-shows={place}>
      {where}
    </li>
  );
}
