/** What a scanned label says, and what can be done with it. */

import type { Found, Thing } from "../../scan/stock";
import { texts } from "../../ui/app";
import { clock } from "../../ui/parts";
import type { Show } from "../../walk/show/show";
import { mayBench, stagesOf, statuses } from "../../walk/stock/warehouse";
import { whoOf } from "../people";
import { Placing } from "./placing";
import type { Target } from "./target";

export function FoundCard({
  show,
  scanned,
  target,
  onBound,
}: {
  show: Show;
  scanned: string;
  target: Target | null;
  onBound: () => void;
}) {
  const t = texts();
  const found: Found = show.stock?.find(scanned) ?? { is: "foreign", text: scanned };
  if (found.is === "unknown" || found.is === "revoked") {
    return (
      <section class="card wrong" data-test="card" data-is={found.is}>
        <h2>{t(`kind.${found.code.kind}`)}</h2>
        <p class="code">{found.code.grouped}</p>
        <p>{found.is === "revoked" ? t("scan.revoked", { reason: found.reason }) : t("scan.unknown")}</p>
      </section>
    );
  }
  const isTile = found.is === "foreign" || found.code.kind === "tile";
  return (
    <section
      class={`card ${found.is === "known" ? found.thing.at : "foreign"}`}
      data-test="card"
      data-is={found.is}
    >
      <h2>{t(found.is === "known" ? `kind.${found.code.kind}` : "scan.foreign")}</h2>
      <p class="code">{found.is === "known" ? found.code.grouped : found.text}</p>
      {found.is === "known" ? <Facts show={show} thing={found.thing} /> : <p>{t("scan.foreign_how")}</p>}
      {isTile ? (
        <Placing show={show} found={found} target={target} onBound={onBound} />
      ) : (
        target && <p class="notice">{t("scan.not_a_tile")}</p>
      )}
      {found.is === "known" && found.code.kind === "case" && (
        <CaseStages show={show} box={found.thing.code} />
      )}
      {found.is === "known" && found.code.kind === "case" && show.may("procedure_walked") && (
        <a
          class="button"
          href={`#act/${show.membership.book}/case_in/${found.thing.code}`}
          data-test="case-in"
        >
          {t("scan.case_in")}
        </a>
      )}
      {found.is === "known" && <Usable show={show} code={found.thing.code} />}
      <History show={show} name={found.is === "known" ? found.thing.code : found.text} />
    </section>
  );
}

/** The stages at which whoever holds this phone goes through cases. */
function CaseStages({ show, box }: { show: Show; box: string }) {
  const t = texts();
  const { book, role } = show.membership;
  return (
    <div class="steps">
      {stagesOf(role).map((stage) => (
        <a key={stage} class="button" href={`#case/${book}/${stage}/${box}`} data-test={`count-${stage}`}>
          {t(`cases.${stage}`)}
        </a>
      ))}
    </div>
  );
}

/** What keeps a thing from being used, and the ways to look at it and to its bench. */
function Usable({ show, code }: { show: Show; code: string }) {
  const t = texts();
  const { book, role } = show.membership;
  const { status } = statuses(show)(code);
  return (
    <>
      {status !== "in_stock" && (
        <p class="notice shout" role="alert" data-test="status">
          {t(`status.${status}`)} {t("scan.do_not_use")}
        </p>
      )}
      {stagesOf(role).length > 0 && (
        <a class="button quiet" href={`#look/${book}/${stagesOf(role).at(-1)}/${code}`}>
          {t("case.look")}
        </a>
      )}
      {mayBench(role) && status !== "in_stock" && (
        <a class="button quiet" href={`#bench/${book}/${code}`}>
          {t("home.bench")}
        </a>
      )}
    </>
  );
}

function Facts({ show, thing }: { show: Show; thing: Thing }) {
  const t = texts();
  const tiles = show.stock?.tilesOf(thing.code) ?? [];
  return (
    <>
      {thing.at !== "here" && <p class="notice">{t(`scan.${thing.at}`)}</p>}
      <dl class="cables">
        {thing.tileType && <Fact name="tile_type" value={thing.tileType} />}
        {thing.batch && <Fact name="batch" value={thing.batch} />}
        {thing.homeCase && (
          <Fact name="home_case" value={show.stock?.groupedOf(thing.homeCase) ?? thing.homeCase} />
        )}
        {tiles.length > 0 && <Fact name="tiles" value={String(tiles.length)} />}
      </dl>
    </>
  );
}

/** Where a thing was written down, newest first, by whom and when. */
function History({ show, name }: { show: Show; name: string }) {
  const t = texts();
  const lines = show.bindings.history(name);
  if (lines.length === 0) return null;
  return (
    <details class="history">
      <summary>{t("scan.history", { n: lines.length })}</summary>
      <ul>
        {lines.map(({ id, at, wall, tile }) => {
          const entry = show.entries.get(id);
          const who = entry ? whoOf(show, entry) : "";
          return <li key={id}>{t("scan.was", { at: clock(at), who, wall, tile })}</li>;
        })}
      </ul>
    </details>
  );
}

function Fact({ name, value }: { name: "tile_type" | "batch" | "home_case" | "tiles"; value: string }) {
  return (
    <>
      <dt>{texts()(`scan.${name}`)}</dt>
      <dd>{value}</dd>
    </>
  );
}
