/** On the sign-off: what came quicker than anybody can look, and what its people say of it. */

import { texts } from "../../ui/app";
import { signable } from "../../walk/checks/checks";
import { type Quick, quickOf } from "../../walk/findings/quick_oks";
import { peopleOf } from "../people";
import type { AtWall } from "../place";
import { whereInWords } from "./groups";

/** The checks of a wall whose oks were all too quick, in the file's order. */
export function quickAt({ show, file }: AtWall): Quick[] {
  return quickOf(
    show,
    signable(file).map(({ id }) => id),
  );
}

export function QuickSection(at: AtWall) {
  const t = texts();
  const all = quickAt(at);
  const [open, said] = [waiting(all), all.filter(({ afterwards }) => afterwards.length > 0)];
  if (all.length === 0) return null;
  return (
    <section data-test="quick">
      {open.length > 0 && (
        <>
          <h2>{t("quick.title", { n: open.length })}</h2>
          <p>
            {peopleOf(
              at.show,
              open.flatMap(({ oks }) => oks),
            )}
            : {whereInWords(t, at.file, ids(open))}
          </p>
        </>
      )}
      {said.length > 0 && (
        <p>
          {t("quick.said", {
            n: said.length,
            who: peopleOf(
              at.show,
              said.flatMap(({ afterwards }) => afterwards),
            ),
          })}{" "}
          {whereInWords(t, at.file, ids(said))}
        </p>
      )}
      <a class="button" data-test="look-again" href={`#quick/${at.show.membership.book}/${at.wall}`}>
        {t("quick.open")}
      </a>
    </section>
  );
}

/** Those that nobody has said anything of. */
export function waiting(all: Quick[]): Quick[] {
  return all.filter(({ afterwards }) => afterwards.length === 0);
}

function ids(all: Quick[]): string[] {
  return all.map(({ check }) => check);
}
