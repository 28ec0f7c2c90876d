/** A procedure that is an act of its own: an incident, cleaning, drying, a case that comes in. */

import { useState } from "preact/hooks";
import type { T } from "../../texts";
import { append, editionOf, reasonInWords, texts } from "../../ui/app";
import { Contacts } from "../../ui/contacts";
import { Choices } from "../../ui/fields";
import { clock, Page } from "../../ui/parts";
import type { ChecksFile } from "../../walk/checks/checks";
import type { Edition } from "../../walk/checks/edition";
import { factsOf, limitsOf } from "../../walk/checks/facts";
import { chosenOf, readingsOf, wordsOf } from "../../walk/checks/procedures";
import type { Show } from "../../walk/show/show";
import { whoOf } from "../people";
import { type Ended, ProcedureScreen } from "./procedure";

/** `at` is a wall, a case, or `show`. */
export function Act({ show, procedure, at }: { show: Show; procedure: string; at: string }) {
  const t = texts();
  const { book } = show.membership;
  const [done, setDone] = useState(false);
  const leave = () => history.back();
  const where = atInWords(t, show, at) || show.membership.title;
  const file = show.fileOf(at);

  async function write({ run, end, photos }: Ended) {
    const body = {
      procedure,
      at,
      plan: show.plans.get(at)?.id ?? null,
      result: end.fault === null ? ("done" as const) : ("fault" as const),
      reason: end.fault,
      chosen: chosenOf(run),
      readings: readingsOf(run),
      photo_blobs: photos,
    };
    const words = Object.entries(wordsOf(run)).map(([step, text]) => [`text_blobs.${step}`, text]);
    if (await append(book, "procedure_walked", body, Object.fromEntries(words))) setDone(true);
  }

  if (done) {
    return (
      <Page book={book} title={editionOf(show)?.title(procedure) ?? ""} back={`#home/${book}`}>
        <p class="do" data-test="act-done">
          {t("act.saved")}
        </p>
        <Contacts show={show} />
        <a class="main" href={`#home/${book}`}>
          {t("act.home")}
        </a>
      </Page>
    );
  }
  return (
    <ProcedureScreen
      show={show}
      procedure={procedure}
      facts={file ? factsOf(file, []) : []}
      limits={file ? limitsOf(file, []) : {}}
      where={where}
      beside={file ? besideWall(file) : besideCase(show, at)}
      onEnd={(ended) => void write(ended)}
      onLeave={leave}
    />
  );
}

/** Where something was done, in words: a wall, a case by its label; "" for the show itself. */
function atInWords(t: T, show: Show, at: string): string {
  if (at === "show") return "";
  return show.plans.has(at) ? t("act.wall", { wall: at }) : (show.stock?.groupedOf(at) ?? at);
}

/** The wind plan of a wall, beside the steps that go by it. */
function besideWall({ wind = [] }: ChecksFile): Record<string, string> {
  if (wind.length === 0) return {};
  const t = texts();
  const plan = wind.map(({ gust_m_s: gust, action }) => t("act.wind", { gust, action })).join(" · ");
  return { plan, read: plan, act: plan };
}

/** What the stock list says of a case, beside the steps that count it. */
function besideCase(show: Show, at: string): Record<string, string> {
  const t = texts();
  const tiles = show.stock?.tilesOf(at) ?? [];
  if (tiles.length === 0) return {};
  const batches = tiles.flatMap((code) => {
    const found = show.stock?.find(code);
    return found?.is === "known" && found.thing.batch !== null ? [found.thing.batch] : [];
  });
  const listed = { count: t("act.listed", { n: tiles.length }) };
  if (batches.length === 0) return listed;
  return { ...listed, batch: t("act.batches", { batches: [...new Set(batches)].sort().join(", ") }) };
}

/** The acts by their titles, what went wrong first of all. */
function WhichAct({ edition, to }: { edition: Edition; to: (key: string) => string }) {
  const acts = edition.actsAt("wall").map(({ key }) => ({ key, title: edition.title(key) }));
  const rank = ({ key }: { key: string }) => (key === "incident" ? 0 : 1);
  acts.sort((a, b) => rank(a) - rank(b) || a.title.localeCompare(b.title));
  return (
    <>
      {acts.map(({ key, title }) => (
        <a
          key={key}
          class={key === "incident" ? "main alarm" : "main other"}
          href={to(key)}
          data-test={`act-${key}`}
        >
          {title}
        </a>
      ))}
    </>
  );
}

/** Where, and which act. */
function Begin({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  const edition = editionOf(show);
  const walls = [...show.plans.keys()].sort();
  const [where, setWhere] = useState(walls.length === 1 && walls[0] !== undefined ? walls[0] : "show");
  return (
    <>
      <Choices
        legend={t("act.where")}
        name="where"
        keys={["show", ...walls]}
        chosen={where}
        onPick={setWhere}
        word={(at) => (at === "show" ? t("act.anywhere") : t("act.wall", { wall: at }))}
        short
      />
      {edition && <WhichAct edition={edition} to={(key) => `#act/${book}/${key}/${where}`} />}
    </>
  );
}

/** What can be done beside the walks, and what was. */
export function Acts({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  const edition = editionOf(show);
  return (
    <Page book={book} title={t("act.title")} back={`#home/${book}`}>
      {show.may("procedure_walked") && <Begin show={show} />}
      <Contacts show={show} />
      <h2>{t("act.log")}</h2>
      <ul class="lines">
        {show.records.all("procedure_walked").map((entry) => (
          <li key={entry.id}>
            <strong>{edition?.title(entry.body.procedure) ?? entry.body.procedure}</strong>
            <span class="grow">
              {atInWords(t, show, entry.body.at)} {reasonInWords(show, entry.body.reason)}
            </span>
            <span class="fine">{t("fault.by", { who: whoOf(show, entry), at: clock(entry.at) })}</span>
          </li>
        ))}
      </ul>
    </Page>
  );
}
