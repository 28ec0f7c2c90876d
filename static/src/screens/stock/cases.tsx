/** The cases of a stage: which go out in which order, which came back, what else is picked, what is still out. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { append, texts } from "../../ui/app";
import { useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { SteadyButton } from "../../ui/steady";
import type { ListedCase } from "../../walk/files";
import type { Show } from "../../walk/show/show";
import type { CaseState, Stage } from "../../walk/stock/cases";
import { casesAt, isCounted, type PickLine, pickLines, plansOf, stillOut } from "../../walk/stock/warehouse";
import { Finder, Typing } from "./scan";

const URGENT: CaseState["summary"][] = ["wrong", "short", "open", "complete"];

export function CasesScreen({ show, stage }: { show: Show; stage: Stage }) {
  const t = texts();
  const { book } = show.membership;
  const [strange, setStrange] = useState<string | null>(null);
  const [scanning, setScanning] = useState(false);
  const go = (scanned: string[]) => {
    const found = scanned.map((text) => show.stock?.find(text)).find((one) => one?.is === "known");
    if (found?.is !== "known") setStrange(scanned[0] ?? "");
    else if (found.thing.code[2] === "C") location.hash = `#case/${book}/${stage}/${found.thing.code}`;
    else void loose(found.thing.code);
  };

  async function loose(code: string) {
    setStrange(null);
    const seen = show.cases.casesOf(stage, code);
    if (seen.length === 0)
      await append(book, "item_seen", { items: [code], case: null, stage, replaces: [] });
  }

  return (
    <Page book={book} title={t(`cases.${stage}`)} back={`#home/${book}`}>
      <p class="fine">{t(`cases.${stage}_how`)}</p>
      {scanning ? (
        <Finder large={false} onFound={go} />
      ) : (
        <button type="button" class="main scan" data-test="scan-case" onClick={() => setScanning(true)}>
          {t("cases.scan")}
        </button>
      )}
      {strange !== null && <p class="notice">{t("case.strange", { text: strange })}</p>}
      <Typing onTyped={(text) => go([text])} />
      {show.prep === null && stage === "prep" && <p class="notice">{t("cases.no_prep")}</p>}
      <Boxes show={show} stage={stage} />
      <Picks show={show} stage={stage} />
      {stage === "return" && <Missing show={show} />}
    </Page>
  );
}

function Boxes({ show, stage }: { show: Show; stage: Stage }) {
  const t = texts();
  const { book } = show.membership;
  const all = casesAt(show, stage);
  const place = (box: string) => show.prep?.truck.indexOf(box) ?? -1;
  const urgency = ({ state }: { state: CaseState }) => (stage === "prep" ? 0 : URGENT.indexOf(state.summary));
  all.sort((a, b) => urgency(a) - urgency(b) || place(a.box) - place(b.box) || (a.box < b.box ? -1 : 1));
  if (all.length === 0) return <p>{t("cases.none")}</p>;
  const done = all.filter(({ state }) => state.shut === "as_seen").length;
  return (
    <section>
      <h2 data-test="done">{t("cases.done", { n: done, all: all.length })}</h2>
      <ul class="walks">
        {all.map(({ box, state }) => (
          <li key={box}>
            <a
              href={`#case/${book}/${stage}/${box}`}
              data-test="case"
              data-summary={state.summary}
              data-box={box}
            >
              <strong>
                {stage === "prep" && place(box) >= 0 ? `${place(box) + 1}. ` : ""}
                {show.stock?.groupedOf(box) ?? box}
              </strong>
              <span>{stateInWords(state)}</span>
              <PlanLine show={show} box={box} />
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}

function PlanLine({ show, box }: { show: Show; box: string }) {
  const plans = plansOf(show, box);
  return plans.length > 0 ? <span class="fine">{placesInWords(plans)}</span> : null;
}

/** Where the tiles of a case go: walls and columns. */
export function placesInWords(plans: ListedCase[]): string {
  const t = texts();
  return plans.map(({ wall, columns }) => t("cases.for", { wall, columns: columns.join(", ") })).join(" · ");
}

function stateInWords(state: CaseState): string {
  const t = texts();
  const all = state.there.length + state.missing.length;
  const words = t(`summary.${state.summary}`, { n: state.there.length, all, foreign: state.foreign.length });
  return state.shut === null ? words : `${words} · ${t(`case.shut_${state.shut}`)}`;
}

/** What is picked beside the cases: labels are scanned, loose parts are counted. */
function Picks({ show, stage }: { show: Show; stage: Stage }) {
  const t = texts();
  const lines = pickLines(show, stage);
  if (lines.length === 0 || stage === "load_in" || stage === "load_out") return null;
  return (
    <section>
      <h2>{t("cases.picks")}</h2>
      <ul class="lines">
        {lines.map((line) => (
          <li key={`${line.kind}/${line.of}`} data-pick={`${line.kind}/${line.of}`}>
            <strong>{said(t, "pick", line.kind, { of: line.of })}</strong>
            <span class="grow">{t("cases.picked", { n: line.seen, all: line.wanted })}</span>
            {isCounted(line.kind) && <CountForm show={show} stage={stage} line={line} />}
          </li>
        ))}
      </ul>
    </section>
  );
}

function CountForm({ show, stage, line }: { show: Show; stage: Stage; line: PickLine }) {
  const t = texts();
  const [typed, setTyped] = useState("");
  useHalfEntered(typed !== "", "untaken");
  const count = Number(typed);
  const add = async () => {
    const body = { stage, part: line.kind, of: line.of, count };
    // what was typed meanwhile is another count
    if (await append(show.membership.book, "parts_counted", body))
      setTyped((now) => (now === typed ? "" : now));
  };
  return (
    <span class="count_form">
      <input
        inputMode="numeric"
        aria-label={t("cases.count_of", { part: said(t, "pick", line.kind, { of: line.of }) })}
        value={typed}
        placeholder={String(Math.max(0, line.wanted - line.seen))}
        onInput={(event) => setTyped(event.currentTarget.value)}
      />
      <SteadyButton of="count" disabled={!Number.isInteger(count) || count < 1} onClick={add}>
        {t("cases.add")}
      </SteadyButton>
    </span>
  );
}

/** What went out and nobody has seen come back: the list shrinks with every scan. */
function Missing({ show }: { show: Show }) {
  const t = texts();
  const out = stillOut(show);
  if (out.length === 0) return null;
  return (
    <details class="history" data-test="still-out">
      <summary>{t("cases.still_out", { n: out.length })}</summary>
      <ul>
        {out.map((code) => {
          const stood = show.bindings.of(code)[0];
          const where = stood ? t("case.last", { wall: stood.wall, tile: stood.tile }) : "";
          return (
            <li key={code}>
              {show.stock?.groupedOf(code) ?? code} {where}
            </li>
          );
        })}
      </ul>
    </details>
  );
}
