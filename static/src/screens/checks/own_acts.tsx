/** Taking back what was written on this phone: the last act of a stop there, older ones from their list. */

import type { EntryOf } from "../../book/entry";
import { append, texts } from "../../ui/app";
import { clock, Page } from "../../ui/parts";
import { SteadyButton, useSteady } from "../../ui/steady";
import { checkAddress } from "../../walk/checks/addresses";
import type { Check } from "../../walk/checks/checks";
import type { Show } from "../../walk/show/show";
import { entryInWords } from "../entry_words";

type Act = EntryOf<"found" | "swapped">;

/** As many acts as a phone draws at once. */
const MOST_LINES = 200;

function checksOf(act: Act): string[] {
  return act.type === "found" ? act.body.checks : act.body.reopens;
}

/** The place of an act, where its own wall still has it. */
function addressOf(show: Show, act: Act): string | null {
  const [check] = checksOf(act);
  return check === undefined ? null : checkAddress(show, check);
}

function takeBack(show: Show, act: Act): void {
  void append(show.membership.book, "withdrawn", { entry: act.id });
}

/** The last act of this phone at a stop, to be taken back; where it was elsewhere, the way there. */
export function Undo({ show, checks }: { show: Show; checks: Check[] }) {
  const t = texts();
  const here = new Set(checks.map(({ id }) => id));
  const acts = show.undoable();
  const own = acts.find((act) => checksOf(act).some((check) => here.has(check)));
  const last = own ?? acts[0];
  if (last === undefined) return null;
  const address = addressOf(show, last);
  return own === undefined && address !== null ? (
    <a class="button quiet undo" href={address} data-test="undo-there">
      {t("walk.undo_there", { what: entryInWords(last) })}
    </a>
  ) : (
    <SteadyButton of={last.id} class="quiet undo" test="undo" onClick={() => takeBack(show, last)}>
      {t("walk.undo", { what: entryInWords(last) })}
    </SteadyButton>
  );
}

/** The way to the list, where there is more to take back than the last act. */
export function OlderActs({ show }: { show: Show }) {
  if (show.undoable().length < 2) return null;
  return (
    <a class="button quiet" href={`#own/${show.membership.book}`} data-test="own-acts">
      {texts()("walk.own")}
    </a>
  );
}

/** All that was written on this phone and still stands, newest first. */
export function OwnActs({ show }: { show: Show }) {
  const t = texts();
  const { book } = show.membership;
  const acts = show.undoable();
  // the list slides under the thumb with every act that is taken back
  const steady = useSteady(acts.map(({ id }) => id).join(" "));
  return (
    <Page book={book} title={t("own.title")} back={`#home/${book}`}>
      {acts.length === 0 && <p>{t("own.none")}</p>}
      <ul class="lines own">
        {acts.slice(0, MOST_LINES).map((act) => (
          <OwnAct key={act.id} show={show} act={act} steady={steady} />
        ))}
      </ul>
    </Page>
  );
}

function OwnAct({ show, act, steady }: { show: Show; act: Act; steady: boolean }) {
  const t = texts();
  const address = addressOf(show, act);
  return (
    <li data-test="own-act">
      <strong>{wallOf(act)}</strong>
      <span class="grow">
        {entryInWords(act)} <span class="fine">{clock(act.at)}</span>
      </span>
      {address !== null && <a href={address}>{t("sign.go")}</a>}
      <button type="button" data-test="take-back" disabled={!steady} onClick={() => takeBack(show, act)}>
        {t("own.take_back")}
      </button>
    </li>
  );
}

function wallOf(act: Act): string {
  return checksOf(act)[0]?.split("/")[0] ?? "";
}
