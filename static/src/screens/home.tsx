/** A show's walls, how far each walk is, and the way back to where this phone was. */

import { texts } from "../ui/app";
import { BuildLine, CountLine, Page } from "../ui/parts";
import { count, idsOf, nextOpen } from "../walk/progress";
import type { Show } from "../walk/show";
import { SignOffLines } from "./signoff";

export const LAST_WALK = "seamwalk-last-walk";

export function Home({ show }: { show: Show }) {
  const t = texts();
  const { book, title, name, role } = show.membership;
  const last = localStorage.getItem(LAST_WALK);
  return (
    <Page book={book} title={title}>
      <p class="fine">
        {t("home.role", { name, role: t(`role.${role}`) })} · <a href="#settings">{t("home.settings")}</a> ·{" "}
        <BuildLine />
      </p>
      {last?.startsWith(`#walk/${book}/`) && (
        <a class="main" href={last}>
          {t("home.walk_on")}
        </a>
      )}
      <a class="main scan" href={`#scan/${book}`}>
        {t("scan.title")}
      </a>
      {show.plans.size === 0 && <p>{t("home.no_walls")}</p>}
      {[...show.plans.keys()].sort().map((wall) => (
        <Wall key={wall} show={show} wall={wall} />
      ))}
    </Page>
  );
}

function Wall({ show, wall }: { show: Show; wall: string }) {
  const t = texts();
  const { book } = show.membership;
  const file = show.fileOf(wall);
  return (
    <section class="wall">
      <h2>
        {wall} · {show.plans.get(wall)?.title}
      </h2>
      <SignOffLines show={show} wall={wall} />
      {file === null ? (
        <p>{t("home.downloading")}</p>
      ) : (
        <ul class="walks">
          {file.walks.map((walk) => (
            <li key={walk.key}>
              <a href={`#walk/${book}/${wall}/${walk.key}/${nextOpen(show.fold, file, walk, 0) ?? 0}`}>
                <strong>{t(`walk.${walk.key}`)}</strong>
                <CountLine counts={count(show.fold, idsOf(file, walk))} />
              </a>
            </li>
          ))}
          <li>
            <a href={`#sign/${book}/${wall}`}>
              <strong>{t("home.sign")}</strong>
            </a>
          </li>
        </ul>
      )}
    </section>
  );
}
