/** Cross-hire: what is handed over between two companies, in which condition, seen and signed by both sides. */

import { useState } from "preact/hooks";
import type { EntryOf } from "../../book/entry";
import { names } from "../../book/names";
import { said } from "../../texts";
import { append, textOf, texts } from "../../ui/app";
import { Line, Note, noteOf } from "../../ui/fields";
import { useHalfEntered } from "../../ui/half_entered";
import { clock, Page } from "../../ui/parts";
import { Photo } from "../../ui/photos";
import { SteadyButton } from "../../ui/steady";
import type { Show } from "../../walk/show/show";
import { mayHandOver } from "../../walk/stock/warehouse";
import { whoOf } from "../people";
import { HandOver } from "./hire_form";

type HandOverEntry = EntryOf<"hire_handed_over">;

export function Hire({ show, id }: { show: Show; id: string }) {
  const t = texts();
  const { book, role } = show.membership;
  const all = show.records.all("hire_handed_over");
  const one = all.find((entry) => names(entry, id));
  if (id === "new" && mayHandOver(role)) return <HandOver show={show} />;
  if (one) {
    return (
      <Page book={book} title={titleOf(one)} back={`#hire/${book}`}>
        <Handover show={show} entry={one} />
      </Page>
    );
  }
  return (
    <Page book={book} title={t("home.hire")} back={`#home/${book}`}>
      {mayHandOver(role) && (
        <a class="main" href={`#hire/${book}/new`}>
          {t("hire.new")}
        </a>
      )}
      <ul class="walks">
        {all.map((entry) => (
          <li key={entry.id}>
            <a href={`#hire/${book}/${entry.id}`} data-test="handover">
              <strong>{titleOf(entry)}</strong>
              <span>{signedInWords(show, entry)}</span>
            </a>
          </li>
        ))}
      </ul>
      {all.length === 0 && <p>{t("hire.none")}</p>}
    </Page>
  );
}

function titleOf({ book, body }: HandOverEntry): string {
  const t = texts();
  return said(t, "hire", `${body.hire}_${body.leg}`, {
    party: textOf(book, body.party_blob) || "…",
    n: body.items.length,
  });
}

function signedInWords(show: Show, entry: HandOverEntry): string {
  const [answer] = show.records.answersTo(entry);
  return answer ? answerInWords(answer) : texts()("hire.unsigned");
}

function answerInWords({ book, body }: EntryOf<"countersigned">): string {
  const who = textOf(book, body.name_blob) || "…";
  return texts()(body.agrees ? "hire.agreed" : "hire.disagreed", { who });
}

function Handover({ show, entry }: { show: Show; entry: HandOverEntry }) {
  const t = texts();
  const { book } = show.membership;
  const { body } = entry;
  return (
    <>
      <p class="fine">{t("fault.by", { who: whoOf(show, entry), at: clock(entry.at) })}</p>
      <dl class="cables">
        <dt>{t("hire.firmware")}</dt>
        <dd>{body.firmware ?? "–"}</dd>
        <dt>{t("hire.configuration")}</dt>
        <dd>{body.configuration ?? "–"}</dd>
      </dl>
      <Differs show={show} entry={entry} />
      <ul class="lines">
        {body.items.map((code: string) => (
          <li key={code}>
            <strong>{show.stock?.groupedOf(code) ?? code}</strong>
          </li>
        ))}
      </ul>
      <div class="thumbs">
        {(body.photo_blobs ?? []).map((name: string) => (
          <Photo key={name} book={book} name={name} />
        ))}
      </div>
      {body.note_blob && <p>{textOf(book, body.note_blob)}</p>}
      <Answers show={show} entry={entry} />
      {show.may("countersigned") && <Countersign show={show} entry={entry} />}
    </>
  );
}

/** What the other side has said, and from which phone. */
function Answers({ show, entry }: { show: Show; entry: HandOverEntry }) {
  const t = texts();
  return (
    <ul class="lines" data-test="answers">
      {show.records.answersTo(entry).map((answer) => (
        <li key={answer.id}>
          <strong>{answerInWords(answer)}</strong>
          <span class="grow">{textOf(answer.book, answer.body.note_blob ?? null)}</span>
          <span class="fine">
            {t(answer.device === entry.device ? "hire.same_phone" : "hire.own_phone", {
              at: clock(answer.at),
            })}
          </span>
        </li>
      ))}
    </ul>
  );
}

/** What these things ran on when they were handed over before, where that was something else. */
function Differs({ show, entry }: { show: Show; entry: HandOverEntry }) {
  const t = texts();
  const lines = differences(entry, show.records.all("hire_handed_over"));
  return (
    <>
      {lines.map(({ field, before, now }) => (
        <p key={`${field}${before}`} class="notice alarm" role="alert" data-test="differs">
          {t("hire.differs", { field: t(`hire.${field}`), before, now })}
        </p>
      ))}
    </>
  );
}

interface Difference {
  field: "firmware" | "configuration";
  before: string;
  now: string;
}

/** What a handover ran on, where another handover of this show says something else. */
export function differences(entry: HandOverEntry, all: HandOverEntry[]): Difference[] {
  const found = new Map<string, Difference>();
  for (const other of all) {
    for (const field of ["firmware", "configuration"] as const) {
      const [before, now] = [other.body[field], entry.body[field]];
      if (!names(entry, other.id) && before && now && before !== now)
        found.set(`${field}${before}`, { field, before, now });
    }
  }
  return [...found.values()];
}

/** The other side signs, on its own phone or on this one in its own name. */
function Countersign({ show, entry }: { show: Show; entry: HandOverEntry }) {
  const t = texts();
  const { book, role, name: mine } = show.membership;
  const own = role === "partner" ? mine : "";
  const [name, setName] = useState(own);
  const [note, setNote] = useState("");
  useHalfEntered(name !== own || note !== "");
  const sign = async (agrees: boolean) => {
    const notes = { name_blob: name.trim(), ...noteOf(note) };
    if ((await append(book, "countersigned", { entry: entry.id, agrees }, notes)) === null) return;
    setName(own);
    setNote("");
  };
  return (
    <section class="card" data-test="countersign">
      <h2>{t("hire.countersign")}</h2>
      <p class="fine">{t("hire.countersign_how")}</p>
      <Line label={t("hire.your_name")} most={80} value={name} onType={setName} />
      <Note label={t("hire.your_note")} value={note} onType={setNote} />
      <div class="steps">
        <SteadyButton
          of="disagree"
          class="alarm"
          disabled={!name.trim() || !note.trim()}
          onClick={() => sign(false)}
        >
          {t("hire.disagree")}
        </SteadyButton>
        <SteadyButton of="agree" test="agree" disabled={!name.trim()} onClick={() => sign(true)}>
          {t("hire.agree")}
        </SteadyButton>
      </div>
    </section>
  );
}
