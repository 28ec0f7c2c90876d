/** Stops of a show: where, what they hold, what ends them, and the word of whoever lets the crew go on. */

import { answers } from "../../book/findings";
import { rightsOf } from "../../book/trust";
import { said } from "../../texts";
import { append, reasonInWords, texts } from "../../ui/app";
import { Contacts } from "../../ui/contacts";
import { clock, Page } from "../../ui/parts";
import { SureButton } from "../../ui/steady";
import { checkAddress } from "../../walk/checks/addresses";
import { type Hold, holdsOf } from "../../walk/checks/order";
import { checkPlaceInWords } from "../../walk/checks/places";
import type { Show } from "../../walk/show/show";
import { whoOf } from "../people";
import type { AtWall } from "../place";
import { checkInWords } from "./check";

/** A stop with the wall that it is at. */
interface AtHold extends AtWall {
  hold: Hold;
}

/** All stops of a show that nobody has let go on, wall by wall. */
export function allHolds(show: Show): AtHold[] {
  return [...show.plans.keys()].sort().flatMap((wall) => {
    const file = show.fileOf(wall);
    return file ? holdsOf(show, file).map((hold) => ({ show, wall, file, hold })) : [];
  });
}

/** Every stop, worst first by wall; what all are to do stands on top. */
export function Stops({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  const holds = allHolds(show);
  return (
    <Page book={book} title={t("stops.title")} back={`#home/${book}`} stopsHere>
      {holds.length === 0 ? <p>{t("stops.none")}</p> : <ToldAll show={show} />}
      {holds.map((at) => (
        <StopCard key={`${at.hold.check} ${at.hold.fault.id}`} {...at} />
      ))}
    </Page>
  );
}

/** What everybody does at a stop, and whom to call. */
export function ToldAll({ show }: { show: Show }) {
  const t = texts();
  return (
    <>
      <p class="notice shout" role="alert">
        {t("stops.do")}
      </p>
      <p>{t("stops.tell")}</p>
      <Contacts show={show} />
    </>
  );
}

function StopCard(at: AtHold) {
  const t = texts();
  const { show, wall, file, hold } = at;
  const entry = show.entries.get(hold.fault.id);
  const check = file.checks.find(({ id }) => id === hold.check);
  const isMended = show.fold.state(hold.check).state !== "fault";
  return (
    <section class="wall" data-test="stop">
      <h2>
        {wall} · {checkPlaceInWords(t, hold.check)}
      </h2>
      <p>
        {check && checkInWords(check)}
        {entry?.type === "found" && ` · ${reasonInWords(show, entry.body.reason)}`}
        {entry && ` · ${t("fault.by", { who: whoOf(show, entry), at: clock(entry.at) })}`}
      </p>
      <ol>
        <li class={isMended ? "done" : ""}>{t(isMended ? "stops.mended" : "stops.mend")}</li>
        <li>{t("stops.release", { who: said(t, "duty", hold.duty) })}</li>
      </ol>
      <a
        class="button"
        href={checkAddress(show, hold.check) ?? `#home/${show.membership.book}`}
        data-test="stop-place"
      >
        {t("sign.go")}
      </a>
      {isMended && <Release {...at} />}
    </section>
  );
}

/** Letting the crew go on, at the second tap: for whose duty it is, and who did not mend it alone. */
function Release({ show, wall, hold }: AtHold) {
  const t = texts();
  const { book, role } = show.membership;
  if (!rightsOf(role).duties.includes(hold.duty)) return null;
  if (!menders(show, hold).some((author) => author !== show.me())) {
    return <p class="notice">{t("stops.not_own")}</p>;
  }

  async function release() {
    const { check, duty } = hold;
    // Duties of the table are those that an entry may name.
    const body = { plan: show.planOf(wall), fault: hold.fault.id, check, duty: duty as "site" };
    await append(book, "stop_released", body);
  }

  return (
    <>
      <p>{t("stops.statement")}</p>
      <SureButton
        class="main other"
        test="release"
        words={t("stops.let_go")}
        sure={t("stops.sure")}
        onSure={release}
      />
    </>
  );
}

/** Who answered a stop fault at its check. */
function menders({ fold }: Show, { fault, check }: Hold): string[] {
  const oks = fold.actsAt(check).filter((act) => act.kind === "ok" && fold.isLive(act));
  return oks.filter((act) => answers(act, fault, check)).map(({ author }) => author);
}
