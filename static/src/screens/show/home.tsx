/** Where to go on, then the show's walls and how far they are, then what else there is to do. */

import { at } from "../../book/must";
import { said } from "../../texts";
import { paper, texts } from "../../ui/app";
import { PaperMode } from "../../ui/paper";
import { BuildLine, Oddities, Page } from "../../ui/parts";
import { type Next, nextFor } from "../../walk/checks/next";
import { placeInWords } from "../../walk/checks/places";
import { mayWalk } from "../../walk/checks/sharing";
import { toSign } from "../../walk/findings/to_sign";
import type { Show } from "../../walk/show/show";
import { mayBench, mayHandOver, stagesOf } from "../../walk/stock/warehouse";
import { addressOf, WallCard } from "./wall_card";

export const LAST_WALK = "seamwalk-last-walk";

export function Home({ show }: { show: Show }) {
  const t = texts();
  const { book, title, name, role } = show.membership;
  return (
    <Page book={book} title={title}>
      <Oddities book={book} />
      {role === "partner" ? <Warehouse show={show} /> : <Work show={show} />}
      <p class="fine">
        {t("home.role", { name, role: said(t, "role", role) })} ·{" "}
        <a class="to_settings" href="#settings">
          {t("home.settings")}
        </a>
      </p>
    </Page>
  );
}

/** What the crew and the warehouse do; a partner company only sees handovers. */
function Work({ show }: { show: Show }) {
  const t = texts();
  const { book, role } = show.membership;
  const last = lastWall(book);
  const next = nextFor(show, last);
  const walls = [...show.plans.keys()].sort();
  const ready = next?.why === "share" ? undefined : toSign(show, walls, true);
  const open = ready ?? next?.wall ?? (last !== null && walls.includes(last) ? last : walls[0]);
  return (
    <>
      <WayOn show={show} ready={ready} next={next} walls={walls} />
      {role === "warehouse" && <Warehouse show={show} />}
      <div class="steps">
        <a class="button" href={`#scan/${book}`}>
          {t("scan.title")}
        </a>
        {show.may("procedure_walked") ? (
          <a class="button alarm" href={`#act/${book}/incident/show`} data-test="incident">
            {t("home.incident")}
          </a>
        ) : (
          <a class="button alarm" href={`#acts/${book}`}>
            {t("contacts.title")}
          </a>
        )}
      </div>
      {walls.length === 0 && <p>{t("home.no_walls")}</p>}
      <div class="wall_cards">
        {walls.map((wall) => (
          <WallCard key={wall} show={show} wall={wall} open={wall === open || isWide()} />
        ))}
      </div>
      <More show={show} />
    </>
  );
}

/** Whether walls lie side by side, so that nothing is gained by folding one away. */
function isWide(): boolean {
  return matchMedia("(min-width: 860px)").matches;
}

/** What is done now and then. */
function More({ show }: { show: Show }) {
  const t = texts();
  const { book, role } = show.membership;
  return (
    <>
      {paper.value !== null && <PaperMode />}
      <details class="now_and_then">
        <summary>{t("home.more")}</summary>
        {role !== "warehouse" && <Warehouse show={show} />}
        <a class="button" href={`#acts/${book}`}>
          {t(show.may("procedure_walked") ? "home.acts" : "home.log")}
        </a>
        {paper.value === null && show.may("found") && <PaperMode />}
        <BuildLine />
      </details>
    </>
  );
}

/** The wall of the walk that this phone was on last. */
function lastWall(book: string): string | null {
  const [screen, in_, wall] = (localStorage.getItem(LAST_WALK) ?? "").split("/");
  return screen === "#walk" && in_ === book ? (wall ?? null) : null;
}

/** The one way on: to where this person is wanted. */
function GoOn({ show, next }: { show: Show; next: Next }) {
  const t = texts();
  const { wall, walk, index, why } = next;
  return (
    <a class="main go_on" href={addressOf(show, next)} data-test="next" data-why={why}>
      <span>{t(`next.${why}`, { walk: said(t, "walk", walk.key) })}</span>
      <span class="small">
        {wall} · {placeInWords(t, at(walk.stops, index).place)}
      </span>
    </a>
  );
}

/** A wall to sign for whoever may. */
function Sign({ book, wall }: { book: string; wall: string }) {
  return (
    <a class="main go_on" href={`#sign/${book}/${wall}`} data-test="next" data-why="sign">
      {texts()("next.sign", { wall })}
    </a>
  );
}

/** The one way on: a wall that is ready to be signed, what is to be looked at, else what is left to sign. */
function WayOn({
  show,
  ready,
  next,
  walls,
}: {
  show: Show;
  ready: string | undefined;
  next: Next | null;
  walls: string[];
}) {
  const { book, role } = show.membership;
  if (ready !== undefined) return <Sign book={book} wall={ready} />;
  if (next !== null) return <GoOn show={show} next={next} />;
  if (!mayWalk(role)) return null;
  const left = toSign(show, walls, false);
  if (left !== undefined) return <Sign book={book} wall={left} />;
  return walls.length > 0 ? <p class="notice">{texts()("next.nothing")}</p> : null;
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
