/** What one look takes in: its places in words with their checks, and how many tiles of a case go together. */

import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { at } from "../../book/must";
import { texts } from "../../ui/app";
import { type Check, type ChecksFile, placesAt, type Stop } from "../../walk/checks/checks";
import { placeInWords } from "../../walk/checks/places";
import { caseSize, isOfRun, LONGEST_RUN, together } from "../../walk/checks/together";
import type { AtStop } from "../place";

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
      <legend class="grow">{t("walk.run", { n: run })}</legend>
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
 * The checks of a stop in a list, each with its place: a stop of one place has it in its heading, a place of one check
 * says it at the check, and else it stands above its checks.
 */
export function Places({
  file,
  stop,
  row,
}: {
  file: ChecksFile;
  stop: Stop;
  /** A check as a list item; `where` is its place in words, when nothing else on the screen says it. */
  row: (check: Check, where: string | null) => ComponentChildren;
}) {
  const t = texts();
  const places = placesAt(file, stop);
  return (
    <ul class="checks">
      {places.flatMap(({ place, checks }) => {
        const words = place === stop.place ? null : placeInWords(t, place);
        if (words === null || checks.length === 1) return checks.map((check) => row(check, words));
        return [
          <li class="place" key={place}>
            {words}
          </li>,
          ...checks.map((check) => row(check, null)),
        ];
      })}
    </ul>
  );
}
