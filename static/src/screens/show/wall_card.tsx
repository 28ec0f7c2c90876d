/** A wall on the home screen: its picture, how far it is, and its walks as one row each. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { texts } from "../../ui/app";
import { Shape } from "../../ui/parts";
import { WallPicture } from "../../ui/wall_picture";
import type { Walk } from "../../walk/checks/checks";
import { type Counts, count, idsOf, nextOpen } from "../../walk/checks/progress";
import { percentOk } from "../../walk/checks/wall_progress";
import type { Show } from "../../walk/show/show";
import { LiveLine } from "../checks/live";
import { StrikeLine } from "../checks/strike";
import { SignOffLines } from "../findings/signoff";
import type { AtWall, OnWalk } from "../place";

/** A wall; its walks are folded away while somebody works at another. */
export function WallCard({ show, wall, open }: { show: Show; wall: string; open: boolean }) {
  const t = texts();
  const [unfolded] = useState(open);
  const file = show.fileOf(wall);
  return (
    <section class="wall_card">
      <details open={unfolded} data-test={`wall-${wall}`}>
        <summary>
          {file && <WallPicture fold={show.fold} file={file} />}
          <h2>
            {wall} · {show.plans.get(wall)?.title}
          </h2>
          {file && <Standing show={show} wall={wall} file={file} />}
        </summary>
        {file === null ? <p>{t("home.downloading")}</p> : <Walks show={show} wall={wall} file={file} />}
        <Warnings warnings={file?.warnings ?? []} />
      </details>
      <LiveLine show={show} wall={wall} />
      <SignOffLines show={show} wall={wall} />
    </section>
  );
}

/** How much was looked at, what is bad, and when what is open again falls due. */
function Standing({ show, wall, file }: AtWall) {
  const t = texts();
  const { fault, reopened } = count(
    show.fold,
    file.checks.map(({ id }) => id),
  );
  return (
    <span class="standing_line">
      {t("home.percent", { n: percentOk(show.fold, file) })}
      <Some state="fault" n={fault} />
      <Some state="reopened" n={reopened} />
      {reopened > 0 && show.isOnAir(wall) && <span data-test="next-break">{t("home.next_break")}</span>}
      <StrikeLine show={show} wall={wall} file={file} />
    </span>
  );
}

/** Screens of a wall; some are there only to write. Whoever walks sees whether the strike is open. */
const TOOLS = [
  { screen: "service", writes: "swapped" },
  { screen: "test", writes: null },
  { screen: "live", writes: "circuits_switched" },
  { screen: "strike", writes: "found" },
  { screen: "sign", writes: null },
] as const;

function Walks(at: AtWall) {
  const t = texts();
  const { show, wall, file } = at;
  return (
    <>
      <ul class="walk_rows">
        {file.walks.map((walk) => (
          <WalkRow key={walk.key} {...at} walk={walk} />
        ))}
      </ul>
      <nav class="wall_tools" aria-label={wall}>
        {TOOLS.filter(({ writes }) => writes === null || show.may(writes)).map(({ screen }) => (
          <a
            key={screen}
            class="button"
            data-test={`tool-${screen}`}
            href={`#${screen}/${show.membership.book}/${wall}`}
          >
            {t(`home.${screen}`)}
          </a>
        ))}
      </nav>
    </>
  );
}

/** A walk with how far it is, and the way to share it out. */
function WalkRow(at: OnWalk) {
  const t = texts();
  const { show, wall, file, walk } = at;
  const name = said(t, "walk", walk.key);
  const ids = idsOf(file, walk);
  return (
    <li>
      <a href={onwards(at)} data-test={`walk-${walk.key}`}>
        <strong>{name}</strong>
        <Far counts={count(show.fold, ids)} of={ids.length} />
      </a>
      {show.may("work_shared") && (
        <a
          class="share"
          href={`#share/${show.membership.book}/${wall}/${walk.key}`}
          aria-label={t("share.title", { walk: name })}
        >
          {t("share.short")}
        </a>
      )}
    </li>
  );
}

/** How far a walk is: a tick when all of it is ok, else how many of how many, and what is bad. */
function Far({ counts, of }: { counts: Counts; of: number }) {
  return (
    <span class="far">
      <Some state="fault" n={counts.fault} />
      <Some state="reopened" n={counts.reopened} />
      <Some state="not_reached" n={counts.not_reached} />
      {counts.ok === of ? (
        <Some state="ok" n={of} />
      ) : (
        <span>{texts()("walk.of", { n: counts.ok, total: of })}</span>
      )}
    </span>
  );
}

/** A number of checks in a state, as its shape; in words for whoever does not see it. */
function Some({ state, n }: { state: keyof Counts; n: number }) {
  if (n === 0) return null;
  return (
    <span class={`count ${state}`}>
      <Shape state={{ state, weight: null, standing: [] }} /> {n}
      <span class="unseen"> {texts()(`state.${state}`)}</span>
    </span>
  );
}

/** What the planning warned of. */
function Warnings({ warnings }: { warnings: string[] }) {
  const t = texts();
  if (warnings.length === 0) return null;
  return (
    <details class="history">
      <summary>{t("home.warnings", { n: warnings.length })}</summary>
      <ul>
        {warnings.map((warning) => (
          <li key={warning}>{warning}</li>
        ))}
      </ul>
      <p class="caution">{t("sign.caution")}</p>
    </details>
  );
}

/** Walks of which only the exceptions are written: they open as one pass. */
const PASSES = ["guards", "picture"];

/** The screen that a stop of a walk is looked at on. */
export function addressOf(
  show: Show,
  { wall, walk, index }: { wall: string; walk: Walk; index: number },
): string {
  const { book } = show.membership;
  if (PASSES.includes(walk.key)) return `#pass/${book}/${wall}/${walk.key}`;
  return `#walk/${book}/${wall}/${walk.key}/${index}`;
}

function onwards({ show, wall, file, walk }: OnWalk): string {
  const index = nextOpen(show.fold, file, walk, 0, show.asked(wall, walk.key)) ?? 0;
  return addressOf(show, { wall, walk, index });
}
