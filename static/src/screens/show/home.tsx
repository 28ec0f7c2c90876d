/** A show's walls, how far each walk is, and the way back to where this phone was. */

import { said } from "../../texts";
import { texts } from "../../ui/app";
import { PaperMode } from "../../ui/paper";
import { BuildLine, CountLine, Oddities, Page } from "../../ui/parts";
import { count, idsOf, nextOpen } from "../../walk/checks/progress";
import type { Show } from "../../walk/show/show";
import { mayBench, mayHandOver, stagesOf } from "../../walk/stock/warehouse";
import { SignOffLines } from "../findings/signoff";
import type { OnWalk } from "../place";

export const LAST_WALK = "seamwalk-last-walk";

export function Home({ show }: { show: Show }) {
  const t = texts();
  const { book, title, name, role } = show.membership;
  const last = localStorage.getItem(LAST_WALK);
  return (
    <Page book={book} title={title}>
      <p class="fine">
        {t("home.role", { name, role: said(t, "role", role) })} · <a href="#settings">{t("home.settings")}</a>{" "}
        · <BuildLine />
      </p>
      <Oddities book={book} />
      {last?.startsWith(`#walk/${book}/`) && (
        <a class="main" href={last}>
          {t("home.walk_on")}
        </a>
      )}
      {role === "partner" ? <Warehouse show={show} /> : <Work show={show} />}
    </Page>
  );
}

/** What the crew and the warehouse do; a partner company only sees handovers. */
function Work({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  return (
    <>
      <a class="main scan" href={`#scan/${book}`}>
        {t("scan.title")}
      </a>
      <div class="steps">
        <a class="button alarm" href={`#act/${book}/incident/show`} data-test="incident">
          {t("home.incident")}
        </a>
        <a class="button" href={`#acts/${book}`}>
          {t("home.acts")}
        </a>
      </div>
      <Warehouse show={show} />
      <PaperMode />
      {show.plans.size === 0 && <p>{t("home.no_walls")}</p>}
      {[...show.plans.keys()].sort().map((wall) => (
        <Wall key={wall} show={show} wall={wall} />
      ))}
    </>
  );
}

/** Cases out and back, the bench, handovers: what of it is this role's. */
function Warehouse({ show }: { show: Show }) {
  const t = texts();
  const { book, role } = show.membership;
  return (
    <nav class="steps" aria-label={t("home.warehouse")}>
      {stagesOf(role).map((stage) => (
        <a key={stage} class="button" href={`#cases/${book}/${stage}`} data-test={`cases-${stage}`}>
          {t(`cases.${stage}`)}
        </a>
      ))}
      {mayBench(role) && (
        <a class="button" href={`#bench/${book}`} data-test="bench">
          {t("home.bench")}
        </a>
      )}
      {(mayHandOver(role) || role === "partner") && (
        <a class="button" href={`#hire/${book}`} data-test="hire">
          {t("home.hire")}
        </a>
      )}
    </nav>
  );
}

function Wall({ show, wall }: { show: Show; wall: string }) {
  const t = texts();
  const file = show.fileOf(wall);
  return (
    <section class="wall">
      <h2>
        {wall} · {show.plans.get(wall)?.title}
      </h2>
      <SignOffLines show={show} wall={wall} />
      <Warnings warnings={file?.warnings ?? []} />
      {file === null ? (
        <p>{t("home.downloading")}</p>
      ) : (
        <ul class="walks">
          {file.walks.map((walk) => (
            <WalkLine key={walk.key} show={show} wall={wall} file={file} walk={walk} />
          ))}
          {(["service", "test", "sign"] as const).map((screen) => (
            <li key={screen}>
              <a href={`#${screen}/${show.membership.book}/${wall}`}>
                <strong>{t(`home.${screen}`)}</strong>
              </a>
            </li>
          ))}
        </ul>
      )}
    </section>
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

/** A walk with how far it is, and the way to share it out. */
function WalkLine(at: OnWalk) {
  const t = texts();
  const { show, wall, file, walk } = at;
  return (
    <li>
      <a href={addressOf(at)} data-test={`walk-${walk.key}`}>
        <strong>{said(t, "walk", walk.key)}</strong>
        <CountLine counts={count(show.fold, idsOf(file, walk))} />
      </a>
      <a
        class="small"
        href={`#share/${show.membership.book}/${wall}/${walk.key}`}
        aria-label={t("share.title", { walk: said(t, "walk", walk.key) })}
      >
        {t("share.short")}
      </a>
    </li>
  );
}

/** Walks of which only the exceptions are written: they open as one pass. */
export const PASSES = ["guards", "picture"];

function addressOf({ show, wall, file, walk }: OnWalk): string {
  const { book } = show.membership;
  if (PASSES.includes(walk.key)) return `#pass/${book}/${wall}/${walk.key}`;
  const next = nextOpen(show.fold, file, walk, 0, show.asked(wall, walk.key));
  return `#walk/${book}/${wall}/${walk.key}/${next ?? 0}`;
}
