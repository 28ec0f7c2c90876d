/** A wall's tiles to tap, those that are taken marked. */

import type { ChecksFile } from "../walk/checks/checks";
import { boxOf, placeInWords } from "../walk/checks/places";
import { texts } from "./app";
import { scaled } from "./map";

const CELL = 64;

/** Pick a tile by a tap on the map or from a list, which says the same to whoever cannot see the map. */
export function TileMap({
  file,
  taken,
  onPick,
}: {
  file: ChecksFile;
  taken: (tile: string) => boolean;
  onPick: (tile: string) => void;
}) {
  const t = texts();
  return (
    <div class="tiles">
      <svg
        class="map"
        viewBox={`0 0 ${file.columns * CELL} ${file.rows * CELL}`}
        width={file.columns * CELL}
        aria-hidden="true"
      >
        {file.tiles.map((tile) => (
          // biome-ignore lint/a11y/noStaticElementInteractions: a shortcut for the eye; the list below reaches the same.
          <rect
            key={tile.id}
            class={`tile ${taken(tile.id) ? "taken" : ""}`}
            {...scaled(boxOf(file, tile), CELL, 1)}
            rx="4"
            data-tile={tile.id}
            onClick={() => onPick(tile.id)}
          />
        ))}
      </svg>
      <label class="choose">
        {t("scan.tap")}
        <select onChange={(event) => event.currentTarget.value && onPick(event.currentTarget.value)}>
          <option value="">–</option>
          {file.tiles.map(({ id }) => (
            <option key={id} value={id}>
              {placeInWords(t, `tile/${id}`)}
              {taken(id) ? ` (${t("scan.taken")})` : ""}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}
