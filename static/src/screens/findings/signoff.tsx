/** Signing a wall off: what is in the way, what is signed for as it is, the statement. */

import { useState } from "preact/hooks";
import type { Lapse } from "../../book/signoff";
import { statementsOf } from "../../book/signoff";
import { said } from "../../texts";
import { statuses, texts } from "../../ui/app";
import { useHalfEntered } from "../../ui/half_entered";
import { clock, Page } from "../../ui/parts";
import { comingDown } from "../../walk/checks/order";
import { inFull } from "../../walk/checks/places";
import { standsInTheWay } from "../../walk/findings/in_the_way";
import type { Show, SignOff as Signed } from "../../walk/show/show";
import { whoOf } from "../people";
import type { AtWall } from "../place";
import { AheadSection } from "./ahead_section";
import { type Excepted, ExceptedLines, exceptionsOf } from "./exceptions";
import { InTheWaySection } from "./in_the_way";
import { QuickSection } from "./quick_section";
import { SignButton, StatementChoices } from "./sign_button";

/** As many places as a lapsed sign-off lists. */
const MOST_PLACES = 40;

export function SignOffLines({ show, wall }: { show: Show; wall: string }) {
  return (
    <>
      {show.signOffs(wall).map((item) => (
        <SignOffLine key={item.entry.id} show={show} item={item} />
      ))}
    </>
  );
}

function SignOffLine({ show, item }: { show: Show; item: Signed }) {
  const t = texts();
  const { entry, lapse } = item;
  const { length } = entry.body.exceptions;
  const words = {
    statement: said(t, "sign", entry.body.statement),
    who: whoOf(show, entry),
    at: clock(entry.at),
  };
  return (
    <div class={`signed ${lapse ? "lapsed" : "stands"}`} data-test="signed" data-lapsed={lapse !== null}>
      <strong>{t(lapse ? "sign.lapsed" : "sign.standing", words)}</strong>
      {length > 0 && <span> {t("sign.with_exceptions", { n: length })}</span>}
      {lapse?.planDiffers && <span> {t("sign.plan_differs")}</span>}
      {lapse && lapse.worse.length > 0 && <Worse lapse={lapse} />}
    </div>
  );
}

/** The places that are worse than when it was signed. */
function Worse({ lapse: { worse } }: { lapse: Lapse }) {
  const t = texts();
  const more = worse.length - MOST_PLACES;
  return (
    <details>
      <summary>{t("sign.worse", { n: worse.length })}</summary>
      <ul class="places">
        {worse.slice(0, MOST_PLACES).map((check) => (
          <li key={check}>{inFull(t, check)}</li>
        ))}
        {more > 0 && <li class="fine">{t("sign.more", { n: more })}</li>}
      </ul>
    </details>
  );
}

export function SignOff(at: AtWall) {
  const t = texts();
  const { show, wall, file } = at;
  const { book, role } = show.membership;
  const statements = statementsOf(role);
  const [statement, setStatement] = useState(statements[0] ?? null);
  const [excepted, setExcepted] = useState<Excepted[]>([]);
  useHalfEntered(excepted.length > 0);
  const down = comingDown(show, wall, file);
  const items = standsInTheWay(file, show.states(wall), show.fold, statement ?? "built", down);
  const exceptions = exceptionsOf(excepted);
  const named = new Set(exceptions.map(({ check }) => check));
  const left = items.filter(({ check }) => !named.has(check));
  const except = (kept: Excepted) => setExcepted([...excepted, kept]);
  return (
    <Page book={book} title={t("sign.title", { wall })} back={`#home/${book}`}>
      <SignOffLines show={show} wall={wall} />
      {statement === null && <p>{t("sign.none_allowed")}</p>}
      <InTheWaySection {...at} left={left} onExcept={statement && except} />
      <ExceptedLines
        file={file}
        excepted={excepted}
        onTakeOut={(one) => setExcepted(excepted.filter((other) => other !== one))}
      />
      <QuickSection {...at} />
      <AheadSection {...at} />
      <NotHere book={book} />
      <p class="caution">{t("sign.caution")}</p>
      {statement !== null && (
        <>
          <StatementChoices statements={statements} chosen={statement} onPick={setStatement} />
          <SignButton
            show={show}
            wall={wall}
            left={left.length}
            statement={statement}
            exceptions={exceptions.filter(({ check }) => items.some((item) => item.check === check))}
          />
        </>
      )}
    </Page>
  );
}

/** What this phone or the office does not have, or does not count. */
function NotHere({ book }: { book: string }) {
  const t = texts();
  const status = statuses.value[book];
  if (!status) return null;
  return (
    <>
      {status.heldAtOffice > 0 && (
        <p class="notice" data-test="held">
          {t("sign.held", { n: status.heldAtOffice })}
        </p>
      )}
      {status.unsent > 0 && <p>{t("sign.unsent", { n: status.unsent })}</p>}
      {status.lastSyncAt && <p class="fine">{t("sign.not_synced", { at: clock(status.lastSyncAt) })}</p>}
    </>
  );
}
