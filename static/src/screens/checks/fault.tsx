/** Writing a fault: how bad, what, and a note if it helps. */

import { useState } from "preact/hooks";
import type { Weight } from "../../book/entry";
import { append, editionOf, reasonInWords, texts } from "../../ui/app";
import { Choices, Note, noteOf, useFields, WeightChoices, Wrong } from "../../ui/fields";
import { leave, useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { PhotoButton } from "../../ui/photos";
import { SteadyButton } from "../../ui/steady";
import { faultFor } from "../../walk/checks/answering";
import {
  type Check,
  type ChecksFile,
  checksElsewhere,
  isElsewhere,
  type Tile,
} from "../../walk/checks/checks";
import { checkPlaceInWords, placeInWords } from "../../walk/checks/places";
import { chosenOf, readingsOf } from "../../walk/checks/procedures";
import type { Show } from "../../walk/show/show";
import type { AtWall } from "../place";
import { checkInWords } from "./check";
import type { Ended } from "./procedure";
import { ToldAll } from "./stops";

const WEIGHTS: readonly Weight[] = ["stop", "show", "cosmetic"];

interface Fault extends AtWall {
  check: Check;
  /** The procedure that ended in the fault. */
  from: Ended | null;
}

interface Filled {
  weight: Weight | null;
  reason: string;
  note: string;
  photos: string[];
  /** The tiles that it is of, where that is asked. */
  tiles: string[];
}

export function FaultForm({ onDone, ...fault }: Fault & { onDone: () => void }) {
  const t = texts();
  const { show, check, from } = fault;
  const { book } = show.membership;
  const [filled, fill] = useFields<Filled>({
    weight: null,
    reason: from?.end.fault ?? "",
    note: "",
    photos: from?.photos ?? [],
    tiles: [],
  });
  const [missing, setMissing] = useState(false);
  const [stopped, setStopped] = useState(false);
  const { weight, reason, note, photos } = filled;
  useHalfEntered(!stopped && (weight !== null || reason !== "" || note !== "" || photos.length > 0));

  async function write() {
    const body = bodyOf(fault, filled);
    setMissing(body === null);
    if (!body || !(await append(book, "found", body, noteOf(filled.note)))) return;
    if (body.weight === "stop") setStopped(true);
    else onDone();
  }

  if (stopped) return <StopTold show={show} onDone={onDone} />;
  return (
    <Page book={book} title={t("fault.title")}>
      <p>
        {checkPlaceInWords(t, check.id)} · {checkInWords(check)}
      </p>
      <WeightChoices weights={WEIGHTS} chosen={filled.weight} onPick={(weight) => fill({ weight })} />
      {filled.weight === "stop" && (
        <p class="notice shout" role="alert">
          {t("fault.shout")}
        </p>
      )}
      <ReasonChoices {...fault} chosen={filled.reason} onPick={(reason) => fill({ reason })} />
      {isElsewhere(fault.file, check, reason) && (
        <WhichTiles
          tiles={fault.file.tiles.filter(({ id }) => check.tiles.includes(id))}
          chosen={filled.tiles}
          onPick={(tiles) => fill({ tiles })}
        />
      )}
      {from?.end.both && <p class="notice">{t("fault.both")}</p>}
      <PhotoButton book={book} names={filled.photos} onChange={(photos) => fill({ photos })} />
      <Note value={filled.note} onType={(note) => fill({ note })} />
      {missing && <Wrong>{t("fault.missing")}</Wrong>}
      <div class="steps">
        <button type="button" data-test="leave" onClick={() => leave(onDone)}>
          {t("app.back")}
        </button>
        <SteadyButton of="write" class="main alarm" test="write-fault" onClick={write}>
          {t("fault.do")}
        </SteadyButton>
      </div>
    </Page>
  );
}

/** A stop was written: what all are to do now, and whom to call, before anything else. */
function StopTold({ show, onDone }: { show: Show; onDone: () => void }) {
  const t = texts();
  return (
    <Page book={show.membership.book} title={t("stops.title")}>
      <ToldAll show={show} />
      <SteadyButton of="told" class="main alarm" test="told" onClick={onDone}>
        {t("stops.told")}
      </SteadyButton>
    </Page>
  );
}

/** Which tiles of a circuit it is: the fault is theirs, and the circuit stays as it is. */
function WhichTiles({
  tiles,
  chosen,
  onPick,
}: {
  tiles: Tile[];
  chosen: string[];
  onPick: (tiles: string[]) => void;
}) {
  const toggled = (tile: string) =>
    chosen.includes(tile) ? chosen.filter((one) => one !== tile) : [...chosen, tile];
  return (
    <fieldset class="modules" data-test="which-tiles">
      <legend>{texts()("fault.which_tiles")}</legend>
      <div class="many">
        {tiles.map(({ id, column, row }) => (
          <button
            type="button"
            key={id}
            aria-pressed={chosen.includes(id)}
            aria-label={placeInWords(texts(), `tile/${id}`)}
            data-tile={id}
            onClick={() => onPick(toggled(id))}
          >
            {`${column}.${row}`}
          </button>
        ))}
      </div>
      <p class="fine">{texts()("fault.of_tiles")}</p>
    </fieldset>
  );
}

/** The reasons that the procedure knows. */
function ReasonChoices({
  show,
  check,
  from,
  ...field
}: Fault & { chosen: string; onPick: (reason: string) => void }) {
  const procedure = editionOf(show)?.procedure(from?.run.procedure.key ?? check.procedure);
  return (
    <Choices
      legend={texts()("fault.reason")}
      name="reason"
      keys={procedure?.reasons ?? ["damaged"]}
      word={(key) => reasonInWords(show, key)}
      short
      {...field}
    />
  );
}

/** What is written; null while it lacks its weight, its reason or its tiles. */
function bodyOf(fault: Fault, filled: Filled) {
  const { weight, reason, photos } = filled;
  const ids = checksOf(fault, filled).map(({ id }) => id);
  if (weight === null || !reason || ids.length === 0) return null;
  const { show, wall, file, from } = fault;
  const told = from && { readings: readingsOf(from.run), chosen: chosenOf(from.run) };
  const seen = { ...told, photo_blobs: photos };
  return { ...faultFor(show.planOf(wall), file, ids, weight, reason), ...seen };
}

/** The checks that the fault is of: where a reason is none of this check, those of the tiles that were named. */
function checksOf({ file, check, from }: Fault, { reason, tiles }: Filled): Check[] {
  if (isElsewhere(file, check, reason)) return checksElsewhere(file, check, reason, tiles);
  return from?.end.both ? [check, ...ofBothTiles(file, check)] : [check];
}

/** The condition of the tiles at a check. */
function ofBothTiles(file: ChecksFile, check: Check): Check[] {
  return file.checks.filter(
    ({ kind, tiles }) => kind === "condition" && check.tiles.includes(tiles[0] ?? ""),
  );
}
