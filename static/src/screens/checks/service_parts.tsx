/** Parts of the service screen: a module's place in its tile, a part's code, spares that fit. */

import { useState } from "preact/hooks";
import { type Code, codeIn, groupedCode, readCode } from "../../scan/codes";
import { said } from "../../texts";
import { texts } from "../../ui/app";
import { Wrong } from "../../ui/fields";
import { useHalfEntered } from "../../ui/half_entered";
import type { ChecksFile } from "../../walk/checks/checks";
import type { Show } from "../../walk/show/show";
import { matchingSpares } from "../../walk/stock/spares";
import type { AtTile } from "../place";
import { Finder } from "../stock/scan";

/** The only place of a module in a tile that has one; null where there is a choice. */
export function onlyPlace(file: ChecksFile, tile: string): string | null {
  const { columns, rows } = modulesOf(file, tile);
  return columns * rows === 1 ? "1.1" : null;
}

function modulesOf(file: ChecksFile, tile: string): { columns: number; rows: number } {
  const type = file.tiles.find(({ id }) => id === tile)?.type ?? "";
  return file.types?.[type]?.modules ?? { columns: 1, rows: 1 };
}

/** The modules of a tile as seen from the front; a place is `column.row`, from the audience's left and the bottom. */
export function ModulePlaces({
  file,
  tile,
  label,
  chosen,
  onPick,
}: {
  file: ChecksFile;
  tile: string;
  label: string;
  chosen: string | null;
  onPick: (place: string) => void;
}) {
  const { columns, rows } = modulesOf(file, tile);
  const places = Array.from({ length: rows }, (_, down) =>
    Array.from({ length: columns }, (_, across) => `${across + 1}.${rows - down}`),
  ).flat();
  return (
    <fieldset class="modules">
      <legend>{label}</legend>
      <div style={{ gridTemplateColumns: `repeat(${columns}, minmax(64px, 1fr))` }}>
        {places.map((place) => (
          <button
            type="button"
            key={place}
            aria-pressed={chosen === place}
            data-place={place}
            onClick={() => onPick(place)}
          >
            {place}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

/** A part's label, scanned or typed; a part without one has none. */
export function PartField({
  show,
  kind,
  label,
  code,
  onCode,
}: {
  show: Show;
  kind: string;
  label: string;
  code: string | null;
  onCode: (code: string | null) => void;
}) {
  const t = texts();
  const [scanning, setScanning] = useState(false);
  const [typed, setTyped] = useState("");
  const [wrong, setWrong] = useState(false);
  useHalfEntered(code === null && typed.trim() !== "", "untaken");
  const take = (text: string) => {
    const read = codeOf(text);
    const found = read && show.stock?.find(read.text);
    const fits = read?.kind === kind && found?.is !== "revoked";
    setWrong(!fits);
    if (!fits) return;
    onCode(found?.is === "known" ? found.thing.code : read.text);
    setScanning(false);
  };
  return (
    <div class="part" data-test={`field-${label}`}>
      <label>
        {label}
        <input
          value={code ? groupedCode(code) : typed}
          placeholder={t("service.no_label")}
          onInput={(event) => {
            onCode(null);
            setTyped(event.currentTarget.value);
          }}
          onChange={(event) => event.currentTarget.value.trim() !== "" && take(event.currentTarget.value)}
        />
      </label>
      <button type="button" class="quiet" onClick={() => setScanning(!scanning)}>
        {t("scan.title")}
      </button>
      {wrong && <Wrong>{t("service.wrong_code", { kind: said(t, "kind", kind) })}</Wrong>}
      {scanning && <Finder large={false} onFound={(texts_) => take(texts_[0] ?? "")} />}
    </div>
  );
}

function codeOf(text: string): Code | null {
  const scanned = codeIn(text);
  if (scanned !== null) return scanned;
  const typed = readCode(text);
  return "code" in typed ? typed.code : null;
}

/** Spares at this show that fit the place, those of its batch first. */
export function SpareList({
  show,
  wall,
  file,
  tile,
  part,
  onPick,
}: AtTile & { part: string; onPick: (code: string) => void }) {
  const t = texts();
  if (!show.stock) return null;
  const type = file.tiles.find(({ id }) => id === tile)?.type ?? "";
  const bound = show.bindings.at(wall, tile)[0]?.name;
  const found = bound ? show.stock.find(bound) : null;
  const batch = found?.is === "known" ? found.thing.batch : null;
  const spares = matchingSpares(show, show.stock, part, type, batch).slice(0, 5);
  return (
    <section>
      <h2>{t("service.spares")}</h2>
      {spares.length === 0 && <p>{t("service.no_spares")}</p>}
      <ul class="lines">
        {spares.map(({ thing, sameBatch }) => (
          <li key={thing.code}>
            <span class="grow">
              <strong>{show.stock?.groupedOf(thing.code)}</strong>{" "}
              {thing.batch &&
                t(sameBatch ? "service.same_batch" : "service.other_batch", { batch: thing.batch })}{" "}
              {thing.homeCase && t("service.in_case", { box: show.stock?.groupedOf(thing.homeCase) ?? "" })}
            </span>
            <button type="button" class="quiet" onClick={() => onPick(thing.code)}>
              {t("service.take")}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
