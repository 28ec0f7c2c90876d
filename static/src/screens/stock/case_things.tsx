/** What lies in a case, thing by thing: in two cases, foreign, missing, there; each with what can be done. */

import type { Stock } from "../../scan/stock";
import { texts } from "../../ui/app";
import type { Show } from "../../walk/show/show";
import type { CaseState, Stage } from "../../walk/stock/cases";
import { statuses } from "../../walk/stock/warehouse";

export interface Place {
  show: Show;
  stock: Stock;
  stage: Stage;
  box: string;
}

type Put = (codes: string[], where: string | null, replaces?: string[]) => Promise<void>;
type Part = Place & { state: CaseState; onPut: Put };

/** Somebody else wrote down that it lies in another case: where is it now? */
export function Doubles({ show, stock, stage, box, state, onPut }: Part) {
  const t = texts();
  return (
    <>
      {state.doubles.map((code) => {
        const others = show.cases.casesOf(stage, code).filter((name) => name !== box);
        const here = () => onPut([code], box, show.cases.sightingsOf(stage, code));
        return (
          <section key={code} class="card wrong" data-test="double">
            <p>
              <strong>{stock.groupedOf(code)}</strong>{" "}
              {t("case.double", {
                boxes: others.map((name) => (name ? stock.groupedOf(name) : t("case.loose"))).join(", "),
              })}
            </p>
            <button type="button" onClick={() => void here()}>
              {t("case.is_here")}
            </button>
          </section>
        );
      })}
    </>
  );
}

/** What does not belong here, and one tap that brings it home. */
export function Foreign({ show, stock, stage, state, onPut }: Part) {
  const t = texts();
  return (
    <>
      {state.foreign.map((code) => {
        const home = homeOf(show, stock, stage, code);
        const seen = () => show.cases.sightingsOf(stage, code);
        return (
          <section key={code} class="card wrong" data-test="foreign">
            <p>
              <strong>{stock.groupedOf(code)}</strong>{" "}
              {home === null ? t("case.foreign_homeless") : t("case.foreign", { box: stock.groupedOf(home) })}
            </p>
            <div class="steps">
              {home !== null && (
                <button type="button" data-test="rehome" onClick={() => void onPut([code], home, seen())}>
                  {t("case.rehome", { box: stock.groupedOf(home) })}
                </button>
              )}
              <button type="button" class="quiet" onClick={() => void onPut([code], null, seen())}>
                {t("case.take_out")}
              </button>
            </div>
          </section>
        );
      })}
    </>
  );
}

/** Where a thing belongs: where it went out from, else its home. */
function homeOf(show: Show, stock: Stock, stage: Stage, code: string): string | null {
  const out = stage === "prep" ? [] : show.cases.casesOf("prep", code).filter((name) => name !== "");
  return (out.length === 1 ? out[0] : stock.thing(code)?.homeCase) ?? null;
}

/** Everything that belongs here, what is missing first; a look at each, and taking it out. */
export function Things({ show, stock, stage, state, onPut }: Part) {
  const t = texts();
  const status = statuses(show);
  const { book } = show.membership;
  return (
    <ul class="lines things" data-test="things">
      {state.missing.map((code) => {
        const { status: is } = status(code);
        return (
          <li key={code} class="missing" data-item={code}>
            <span class="grow">
              <strong>{stock.groupedOf(code)}</strong>
              <span>{is === "in_stock" ? t("case.missing") : t(`status.${is}`)}</span>
            </span>
          </li>
        );
      })}
      {state.there.map((code) => (
        <li key={code} data-item={code}>
          <span class="grow">
            <strong>{stock.groupedOf(code)}</strong>
            <span>{lookOf(show, stage, code)}</span>
          </span>
          <a class="button" href={`#look/${book}/${stage}/${code}`} data-test="look">
            {t("case.look")}
          </a>
          <button
            type="button"
            class="quiet"
            aria-label={t("case.take_out_this", { item: stock.groupedOf(code) })}
            onClick={() => void onPut([code], null, show.cases.sightingsOf(stage, code))}
          >
            {t("case.take_out")}
          </button>
        </li>
      ))}
    </ul>
  );
}

/** What the newest look at this stage saw. */
function lookOf(show: Show, stage: Stage, code: string): string {
  const t = texts();
  const look = show.records
    .all("item_looked_at")
    .find(({ body }) => body.item === code && body.stage === stage);
  if (!look) return t("case.there");
  const n = (look.body.damage ?? []).length;
  return n === 0 ? t("case.sound") : t("case.damaged", { n });
}
