/** One case at one stage: scan what lies in it, in any order; what is missing, foreign or double; shut it. */

import { useState } from "preact/hooks";
import { kindOf } from "../../scan/codes";
import type { Stock, Thing } from "../../scan/stock";
import { append, changes, texts } from "../../ui/app";
import { isUntaken } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { signal } from "../../ui/signal";
import { SteadyButton } from "../../ui/steady";
import type { Show } from "../../walk/show/show";
import type { CaseState, Stage } from "../../walk/stock/cases";
import { caseState, plansOf, stopsOf, substituteFor, type Trouble } from "../../walk/stock/warehouse";
import { Doubles, Foreign, type Place, Things } from "./case_things";
import { placesInWords } from "./cases";
import { Finder, Typing } from "./scan";

export function CaseScreen({ show, stage, box }: { show: Show; stage: Stage; box: string }) {
  const t = texts();
  const { book } = show.membership;
  const { stock } = show;
  const title = t("case.title", { box: stock?.groupedOf(box) ?? box, stage: t(`stage.${stage}`) });
  return (
    <Page book={book} title={title} back={`#cases/${book}/${stage}`}>
      {stock === null ? (
        <p class="notice">{t("scan.no_stock")}</p>
      ) : (
        <Inside {...{ show, stock, stage, box }} />
      )}
    </Page>
  );
}

function Inside(place: Place) {
  void changes.value;
  const { show, stock, stage, box } = place;
  const [allTheSame, setAllTheSame] = useState(false);
  const stops = stage === "prep" ? stopsOf(show, stock, box) : [];
  const state = caseState(show, stage, box);
  if (stops.length > 0 && state.summary === "open" && !allTheSame) {
    return <Stopped {...place} stops={stops} onYes={() => setAllTheSame(true)} />;
  }
  return (
    <>
      <Plan show={show} box={box} />
      {stops.length > 0 && <Reasons stock={stock} stops={stops} />}
      <Scanning {...place} state={state} />
    </>
  );
}

/** The reason why a case does not go out, and which one does instead. */
function Stopped({ show, stock, stage, box, stops, onYes }: Place & { stops: Trouble[]; onYes: () => void }) {
  const t = texts();
  const better = substituteFor(show, stock, box);
  return (
    <section class="card wrong" data-test="stopped" role="alert">
      <h2>{t("case.stop")}</h2>
      <Reasons stock={stock} stops={stops} />
      {better !== null ? (
        <>
          <p data-test="substitute">
            {t("case.instead", { box: stock.groupedOf(better), batch: stock.batchOf(better) || "–" })}
          </p>
          <a class="main" href={`#case/${show.membership.book}/${stage}/${better}`}>
            {t("case.open", { box: stock.groupedOf(better) })}
          </a>
        </>
      ) : (
        <p>{t("case.none_better")}</p>
      )}
      <button type="button" class="quiet" data-test="all-the-same" onClick={onYes}>
        {t("case.all_the_same")}
      </button>
    </section>
  );
}

function Reasons({ stock, stops }: { stock: Stock; stops: Trouble[] }) {
  const t = texts();
  return (
    <ul class="reasons" data-test="reasons">
      {stops.map(({ key, about }) => (
        <li key={key}>
          {t(`trouble.${key}`, { about: about.map((name) => stock.groupedOf(name) || "–").join(", ") })}
        </li>
      ))}
    </ul>
  );
}

/** Where the office planned a case to go, and how many people lift it. */
function Plan({ show, box }: { show: Show; box: string }) {
  const t = texts();
  const plans = plansOf(show, box);
  const first = plans[0];
  if (first === undefined) return null;
  return (
    <>
      <p class="fine" data-test="planned">
        {t("case.planned", { places: placesInWords(plans), n: (show.prep?.truck.indexOf(box) ?? -1) + 1 })}
      </p>
      <Lift mass={first.mass_kg} people={first.people} />
    </>
  );
}

export function Lift({ mass, people }: { mass: number | null; people: number | null }) {
  const t = texts();
  if (mass === null) return null;
  const words = { kg: mass.toFixed(0), n: people ?? 0 };
  return <p class="notice">{people === null ? t("case.mass", words) : t("case.lift", words)}</p>;
}

/** Scanning what lies in a case, in any order, and shutting it. */
function Scanning({ state, ...place }: Place & { state: CaseState }) {
  const t = texts();
  const { show, stock, stage, box } = place;
  const [told, setTold] = useState<string[]>([]);

  async function put(codes: string[], where: string | null, replaces: string[] = []) {
    await append(show.membership.book, "item_seen", { items: codes, case: where, stage, replaces });
  }

  const take = (scanned: string[]) => {
    const { fresh, strange, others } = sorted(place, scanned);
    setTold([
      ...strange.map((text) => t("case.strange", { text })),
      ...others.map((code) => t("case.other", { box: stock.groupedOf(code) })),
    ]);
    signal(strange.length === 0 && fresh.every((code) => stock.thing(code)?.homeCase === box));
    if (fresh.length > 0) void put(fresh, box);
  };

  const inside = { ...place, state, onPut: put };
  return (
    <>
      <Finder large={state.summary === "open"} onFound={take} />
      <Counting state={state} told={told} />
      <Doubles {...inside} />
      <Foreign {...inside} />
      <Things {...inside} />
      <Typing onTyped={(text) => take([text])} />
      <Shut {...place} state={state} />
    </>
  );
}

/** A scan sorted: codes that are new in this case, other cases' codes, and texts that are no known thing's. */
function sorted({ show, stock, stage, box }: Place, scanned: string[]) {
  const found = scanned.map((text) => ({ text, thing: knownThing(stock, text) }));
  const codes = found.flatMap(({ thing }) => (thing ? [thing.code] : []));
  return {
    fresh: codes.filter((code) => kindOf(code) !== "case" && !show.cases.casesOf(stage, code).includes(box)),
    others: codes.filter((code) => kindOf(code) === "case" && code !== box),
    strange: found.filter(({ thing }) => thing === null).map(({ text }) => text),
  };
}

function knownThing(stock: Stock, text: string): Thing | null {
  const found = stock.find(text);
  return found.is === "known" ? found.thing : null;
}

/** How many are there, whether the case was shut, and what was odd about the last scan. */
function Counting({ state, told }: { state: CaseState; told: string[] }) {
  const t = texts();
  const counts = { n: state.there.length, all: state.there.length + state.missing.length };
  return (
    <section
      class={`card ${LOOKS[state.summary]}`}
      data-test="counting"
      data-summary={state.summary}
      aria-live="polite"
    >
      <h2>{t(state.missing.length === 0 ? "scan.all_there" : "scan.so_many", counts)}</h2>
      {state.shut !== null && (
        <p data-test="shut" data-shut={state.shut}>
          {t(`case.shut_${state.shut}`)}
        </p>
      )}
      {told.map((words) => (
        <p key={words} class="notice">
          {words}
        </p>
      ))}
    </section>
  );
}

/** Shutting a case; at prep one that nobody opened goes out with what the list has in it. */
function Shut({ show, stock, stage, box, state }: Place & { state: CaseState }) {
  const t = texts();
  const { book } = show.membership;
  const listed = stock.inside(box);
  const unopened = stage === "prep" && state.summary === "open" && listed.length > 0;

  async function shut() {
    if (unopened) {
      const seen = { items: listed, case: box, stage, replaces: [], unopened: true };
      if ((await append(book, "item_seen", seen)) === null) return;
    }
    const items = show.cases.itemsIn(stage, box);
    const { missing: lacking } = caseState(show, stage, box);
    await append(book, "case_closed", { case: box, stage, items, lacking });
  }

  const words = () => {
    if (isUntaken()) return t("half.untaken");
    if (unopened) return t("case.shut_unopened", { n: listed.length });
    return state.missing.length > 0 ? t("case.shut_short", { n: state.missing.length }) : t("case.shut");
  };
  return (
    <SteadyButton
      of={words()}
      class={`main ${state.summary === "complete" ? "ok" : ""}`}
      test="shut-case"
      disabled={state.shut === "as_seen" || isUntaken()}
      onClick={shut}
    >
      {words()}
    </SteadyButton>
  );
}

const LOOKS: Record<CaseState["summary"], string> = { open: "", short: "", wrong: "wrong", complete: "here" };
