/** Sharing a walk out among the crew, and how long it will still take. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { append, textOf, texts } from "../../ui/app";
import { Page } from "../../ui/parts";
import { type ChecksFile, checksAt, type Walk } from "../../walk/checks/checks";
import { eta, paces } from "../../walk/checks/pace";
import { asksFor } from "../../walk/checks/progress";
import { type Part, share } from "../../walk/checks/sharing";
import type { Show } from "../../walk/show/show";

export function Share({
  show,
  wall,
  file,
  walk,
}: {
  show: Show;
  wall: string;
  file: ChecksFile;
  walk: Walk;
}) {
  const t = texts();
  const { book } = show.membership;
  const parts: Part[] = show.records.sharing(wall, walk.key)?.body.parts ?? [];
  const [chosen, setChosen] = useState(() => new Set(parts.map(({ person }) => person)));
  const weights = walk.stops.map((stop) =>
    asksFor(show.fold, file, stop, "") === "look" ? checksAt(file, stop).length : 0,
  );
  const name = (person: string) => textOf(book, show.crew().get(person) ?? null) || person.slice(0, 6);
  const open = (part: Part) => weights.slice(part.first, part.last + 1).filter((weight) => weight > 0).length;
  const seconds = paces([...show.entries.values()].filter(({ type }) => type === "found"));
  const longest = Math.max(
    0,
    ...(parts.length > 0 ? parts.map(open) : [open({ person: "", first: 0, last: weights.length })]),
  );
  const time = eta(longest, seconds);
  async function cut() {
    const made = share(weights, [...chosen]);
    if (made.length === 0) return;
    const body = { plan: show.plans.get(wall)?.id, wall, walk: walk.key, parts: made };
    await append(book, "work_shared", body);
  }
  return (
    <Page book={book} title={t("share.title", { walk: said(t, "walk", walk.key) })} back={`#home/${book}`}>
      <p>{t("share.how")}</p>
      <fieldset class="choices">
        <legend>{t("share.who")}</legend>
        {[...show.crew().keys()].map((person) => (
          <label key={person} class="choice">
            <input
              type="checkbox"
              checked={chosen.has(person)}
              onChange={() => {
                const next = new Set(chosen);
                if (!next.delete(person)) next.add(person);
                setChosen(next);
              }}
            />
            <span>{name(person)}</span>
          </label>
        ))}
      </fieldset>
      <button
        type="button"
        class="main"
        data-test="share"
        disabled={chosen.size === 0}
        onClick={() => void cut()}
      >
        {t(parts.length > 0 ? "share.again" : "share.do")}
      </button>
      <ul class="lines" data-test="parts">
        {parts.map((part) => (
          <li key={part.person}>
            <strong class="grow">{name(part.person)}</strong>{" "}
            {t("share.part", { from: part.first + 1, to: part.last + 1, open: open(part) })}
          </li>
        ))}
      </ul>
      <p data-test="eta">
        {time === null
          ? t("share.no_eta")
          : t("share.eta", {
              minutes: Math.ceil(time.minutes),
              from: Math.floor(time.from),
              to: Math.ceil(time.to),
              seen: time.seen,
            })}
      </p>
    </Page>
  );
}
