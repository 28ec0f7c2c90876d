/** What one look takes in: its places in words with their checks, and how many tiles of a case go together. */

import type { ComponentChildren } from "preact";
import { at } from "../../book/must";
import { texts } from "../../ui/app";
import { useStateOf } from "../../ui/state_of";
import { type Check, type ChecksFile, type Place, placesAt, type Stop } from "../../walk/checks/checks";
import { placeInWords } from "../../walk/checks/places";
import {
  type Block,
  caseSize,
  isBuilt,
  isOfRun,
  isOneLook,
  LONGEST_RUN,
  TILE,
  together,
} from "../../walk/checks/together";
import type { AtStop } from "../place";
import { checkInWords } from "./check";

const RUN = "seamwalk-run";
const BLOCK = "seamwalk-block";

/** What a stop takes in; the length of its run or the size of its block, null where it has none, and setting them. */
export interface Look {
  stop: Stop;
  run: number | null;
  setRun: (tiles: number) => void;
  block: Block | null;
  setBlock: (block: Block) => void;
}

/** The look at a stop: it stays what it was when it was opened, whatever is written meanwhile. */
export function useLook(here: AtStop): Look {
  const stop = at(here.walk.stops, here.index);
  const [look, setLook] = useStateOf(String(here.index), () => {
    const run = Number(localStorage.getItem(RUN)) || caseSize(here.file, stop);
    return lookAt(here, Math.min(run, LONGEST_RUN), blockKept());
  });
  const setRun = (run: number) => {
    localStorage.setItem(RUN, String(run));
    setLook(lookAt(here, run, look.block));
  };
  const setBlock = (block: Block) => {
    localStorage.setItem(BLOCK, `${block.columns}x${block.rows}`);
    setLook(lookAt(here, look.run, block));
  };
  return {
    stop: look.stop,
    run: isOfRun(here) ? look.run : null,
    setRun,
    block: isBuilt(here) ? look.block : null,
    setBlock,
  };
}

function lookAt(here: AtStop, run: number, block: Block) {
  return { run, block, stop: together(here, run, block) };
}

function blockKept(): Block {
  const [columns = 1, rows = 1] = (localStorage.getItem(BLOCK) ?? "").split("x").map(Number);
  return isOneLook({ columns, rows }) ? { columns, rows } : TILE;
}

/** How large the blocks are that were joined before they came to the wall. */
export function BlockSize({ block, setBlock }: Look) {
  const t = texts();
  if (block === null) return null;
  const { columns, rows } = block;
  return (
    <details class="history" data-test="block" open={columns * rows > 1}>
      <summary>{t("walk.block")}</summary>
      <Steps
        words={t("walk.block_wide", { n: columns })}
        less={
          isOneLook({ columns: columns - 1, rows }) ? () => setBlock({ columns: columns - 1, rows }) : null
        }
        more={
          isOneLook({ columns: columns + 1, rows }) ? () => setBlock({ columns: columns + 1, rows }) : null
        }
      />
      <Steps
        words={t("walk.block_high", { n: rows })}
        less={isOneLook({ columns, rows: rows - 1 }) ? () => setBlock({ columns, rows: rows - 1 }) : null}
        more={isOneLook({ columns, rows: rows + 1 }) ? () => setBlock({ columns, rows: rows + 1 }) : null}
      />
      <p class="fine">{t("walk.block_means")}</p>
    </details>
  );
}

/** One less, one more; null where there is no such. */
function Steps({
  words,
  less,
  more,
}: {
  words: string;
  less: (() => void) | null;
  more: (() => void) | null;
}) {
  const t = texts();
  return (
    <fieldset class="run">
      <legend>{words}</legend>
      <button type="button" aria-label={t("walk.run_less")} disabled={less === null} onClick={() => less?.()}>
        −
      </button>
      <button type="button" aria-label={t("walk.run_more")} disabled={more === null} onClick={() => more?.()}>
        +
      </button>
    </fieldset>
  );
}

/** How many tiles are looked at together, where no label says which case they came out of. */
export function RunLength({ run, setRun }: Look) {
  if (run === null) return null;
  return (
    <Steps
      words={texts()("walk.run", { n: run })}
      less={run > 1 ? () => setRun(run - 1) : null}
      more={run < LONGEST_RUN ? () => setRun(run + 1) : null}
    />
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
