/** The bench: what waits, what is wrong with it, its repair, and a second person's look that puts it back. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { texts } from "../../ui/app";
import { leave } from "../../ui/half_entered";
import { clock, Page } from "../../ui/parts";
import { partInWords } from "../../ui/tile_drawing";
import type { Show } from "../../walk/show/show";
import type { BenchState } from "../../walk/stock/bench";
import { statuses } from "../../walk/stock/warehouse";
import { whoOf } from "../people";
import { type Step, StepForm } from "./bench_form";
import { Finder, Typing } from "./scan";

const ORDER: BenchState["status"][] = ["quarantined", "in_repair", "awaits_look", "at_maker", "scrapped"];
const NEXT: Record<BenchState["status"], Step[]> = {
  in_stock: ["triage"],
  quarantined: ["triage"],
  in_repair: ["repair", "triage"],
  at_maker: ["repair", "triage"],
  awaits_look: ["second_look"],
  scrapped: [],
};

export function Bench({ show, code }: { show: Show; code: string }) {
  const { book } = show.membership;
  const t = texts();
  if (code === "") return <Queue show={show} />;
  return (
    <Page book={book} title={show.stock?.groupedOf(code) ?? code} back={`#bench/${book}`}>
      <Item show={show} code={code} />
      <h2>{t("bench.history")}</h2>
      <History show={show} code={code} />
    </Page>
  );
}

function Queue({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  const [scanning, setScanning] = useState(false);
  const [strange, setStrange] = useState<string | null>(null);
  const status = statuses(show);
  const waiting = (show.stock?.all() ?? [])
    .map(({ code }) => ({ code, is: status(code).status }))
    .filter(({ is }) => is !== "in_stock" && is !== "scrapped")
    .sort((a, b) => ORDER.indexOf(a.is) - ORDER.indexOf(b.is) || (a.code < b.code ? -1 : 1));
  const open = (scanned: string[]) => {
    const found = show.stock?.find(scanned[0] ?? "");
    if (found?.is === "known") location.hash = `#bench/${book}/${found.thing.code}`;
    else setStrange(scanned[0] ?? "");
  };
  return (
    <Page book={book} title={t("home.bench")} back={`#home/${book}`}>
      {scanning ? (
        <Finder large={false} onFound={open} />
      ) : (
        <button type="button" class="main scan" onClick={() => setScanning(true)}>
          {t("bench.scan")}
        </button>
      )}
      {strange !== null && <p class="notice">{t("case.strange", { text: strange })}</p>}
      <Typing onTyped={(text) => open([text])} />
      <h2>{t("bench.waiting", { n: waiting.length })}</h2>
      <ul class="walks">
        {waiting.map(({ code, is }) => (
          <li key={code}>
            <a href={`#bench/${book}/${code}`} data-test="waiting" data-item={code}>
              <strong>{show.stock?.groupedOf(code)}</strong>
              <span>{t(`status.${is}`)}</span>
            </a>
          </li>
        ))}
      </ul>
    </Page>
  );
}

function Item({ show, code }: { show: Show; code: string }) {
  const t = texts();
  const state = statuses(show)(code);
  const [step, setStep] = useState<Step | null>(null);
  const next = NEXT[state.status];
  const home = show.stock?.thing(code)?.homeCase;
  const doing = next.find((key) => key === step) ?? next[0];
  const sameHands = doing === "second_look" && state.workedBy === show.me();
  return (
    <>
      <p class="do" data-test="status" data-status={state.status}>
        {t(`status.${state.status}`)}
      </p>
      {state.status === "in_stock" && home && (
        <a class="main" href={`#case/${show.membership.book}/return/${home}`} data-test="back-home">
          {t("bench.back_home", { box: show.stock?.groupedOf(home) ?? home })}
        </a>
      )}
      {next.length > 1 && (
        <div class="steps">
          {next.map((key) => (
            <button
              type="button"
              key={key}
              aria-pressed={key === doing}
              onClick={() => leave(() => setStep(key))}
            >
              {t(`bench.${key}`)}
            </button>
          ))}
        </div>
      )}
      {sameHands && <p class="notice">{t("bench.same_hands")}</p>}
      {doing && !sameHands && (
        <StepForm key={`${doing}${state.since}`} show={show} code={code} step={doing} />
      )}
    </>
  );
}

function History({ show, code }: { show: Show; code: string }) {
  const t = texts();
  const lines = [
    ...show.records.all("item_benched").filter(({ body }) => body.item === code),
    ...show.records.all("item_looked_at").filter(({ body }) => body.item === code),
    ...show.records.all("swapped").filter(({ body }) => body.out === code),
  ].sort((a, b) => b.at.localeCompare(a.at));
  return (
    <ul class="lines">
      {lines.map((entry) => (
        <li key={entry.id}>
          <span class="grow">
            {entry.type === "item_benched" && said(t, `bench.${entry.body.step}`, entry.body.result)}
            {entry.type === "item_looked_at" && lookInWords(entry.body.damage ?? [])}
            {entry.type === "swapped" && t("entry.swapped")}
          </span>
          <span class="fine">{t("fault.by", { who: whoOf(show, entry), at: clock(entry.at) })}</span>
        </li>
      ))}
    </ul>
  );
}

function lookInWords(damage: { part: string; what: string }[]): string {
  const t = texts();
  if (damage.length === 0) return t("case.sound");
  return damage.map(({ part, what }) => `${partInWords(part)}: ${said(t, "what", what)}`).join("; ");
}
