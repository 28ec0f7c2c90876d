/** A wall as a picture of how far it is: each tile fills as its checks are looked at, and is crossed by a fault. */

import type { Fold } from "../book/findings";
import type { ChecksFile } from "../walk/checks/checks";
import { type Box, boxOf } from "../walk/checks/places";
import { percentOk, tileProgress } from "../walk/checks/wall_progress";
import { texts } from "./app";

/** One path for all tiles of a kind: a wall may have thousands of them. */
export function WallPicture({ fold, file }: { fold: Fold; file: ChecksFile }) {
  const tiles = tileProgress(fold, file).map(({ tile, ...progress }) => ({
    ...progress,
    box: inset(boxOf(file, tile)),
  }));
  const filled = tiles.map(({ box, ok, of }) => upTo(box, of === 0 ? 0 : ok / of));
  const worst = (kind: string) => tiles.filter((tile) => tile.worst === kind).map(({ box }) => box);
  return (
    <svg
      class="wall_picture"
      viewBox={`-0.05 -0.05 ${file.columns + 0.1} ${file.rows + 0.1}`}
      role="img"
      aria-label={texts()("home.percent", { n: percentOk(fold, file) })}
    >
      <path class="tile" d={rectangles(tiles.map(({ box }) => box))} />
      <path class="filled" d={rectangles(filled)} />
      <path class="again" d={rectangles(worst("reopened"))} />
      <path class="faulty" d={crosses(worst("fault"))} />
    </svg>
  );
}

const GAP = 0.04;

function inset({ x, y, w, h }: Box): Box {
  return { x: x + GAP, y: y + GAP, w: w - 2 * GAP, h: h - 2 * GAP };
}

/** The lower part of a box. */
function upTo({ x, y, w, h }: Box, share: number): Box {
  return { x, y: y + h * (1 - share), w, h: h * share };
}

function rectangles(boxes: Box[]): string {
  return boxes.map(({ x, y, w, h }) => `M${x} ${y}h${w}v${h}h${-w}z`).join("");
}

function crosses(boxes: Box[]): string {
  return boxes.map(({ x, y, w, h }) => `M${x} ${y}l${w} ${h}M${x} ${y + h}l${w} ${-h}`).join("");
}
