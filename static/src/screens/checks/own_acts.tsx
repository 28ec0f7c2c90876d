/** Taking back what was written on this phone: the last act of a stop there, older ones from their list. */

import { useState } from "preact/hooks";
import type { EntryOf } from "../../book/entry";
import { append, texts } from "../../ui/app";
import { clock, Page } from "../../ui/parts";
import { SteadyButton } from "../../ui/steady";
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

/** Takes an act back at a tap; a stop, which all were told to keep, is asked about first. */
function TakeBack({
  show,
  act,
  words,
  test,
  of,
}: {
  show: Show;
  act: Act;
  words: string;
  test: string;
  /** Where it changes, another act has come under the thumb. */
  of: string;
}) {
  const t = texts();
  const [asked, setAsked] = useState<string | null>(null);
  const isStop = act.type === "found" && act.body.weight === "stop";
  if (isStop && asked === act.id) {
    return (
      <div class="notice shout" role="alert" data-test="take-back-stop">
        <p>{t("own.stop")}</p>
        <div class="steps">
          <button type="button" data-test="keep-stop" onClick={() => setAsked(null)}>
            {t("own.keep_stop")}
          </button>
          <SteadyButton of="mistaken" class="alarm" test="stop-mistaken" onClick={() => takeBack(show, act)}>
            {t("own.mistaken")}
          </SteadyButton>
        </div>
      </div>
    );
  }
  return (
    <SteadyButton
      of={of}
      class="quiet undo"
      test={test}
      onClick={() => (isStop ? setAsked(act.id) : takeBack(show, act))}
    >
      {words}
    </SteadyButton>
  );
}

/** The last act of this phone at a stop, to be taken back; where it was elsewhere, the way there. */
export function Undo({ show, checks }: { show: Show; checks: Check[] }) {
  const t = texts();
  const here = new Set(checks.map(({ id }) => id));
  const acts = show.undoable();
  if (!show.may("withdrawn")) return null;
  const own = acts.find((act) => checksOf(act).some((check) => here.has(check)));
  const last = own ?? acts[0];
  if (last === undefined) return null;
  const address = addressOf(show, last);
  return own === undefined && address !== null ? (
    <a class="button quiet undo" href={address} data-test="undo-there">
      {t("walk.undo_there", { what: entryInWords(last) })}
    </a>
  ) : (
    <TakeBack
      show={show}
      act={last}
      words={t("walk.undo", { what: entryInWords(last) })}
      test="undo"
      of={last.id}
    />
  );
}

/** The way to the list, where there is more to take back than the last act. */
export function OlderActs({ show }: { show: Show }) {
  if (show.undoable().length < 2 || !show.may("withdrawn")) return null;
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
  const list = acts.map(({ id }) => id).join(" ");
  return (
    <Page book={book} title={t("own.title")} back={`#home/${book}`}>
      {acts.length === 0 && <p>{t("own.none")}</p>}
      <ul class="lines own">
        {acts.slice(0, MOST_LINES).map((act) => (
          <OwnAct key={act.id} show={show} act={act} list={list} />
        ))}
      </ul>
    </Page>
  );
}

function OwnAct({ show, act, list }: { show: Show; act: Act; list: string }) {
  const t = texts();
  const address = addressOf(show, act);
  return (
    <li data-test="own-act">
      <strong>{wallOf(act)}</strong>
      <span class="grow">
        {entryInWords(act)} <span class="fine">{clock(act.at)}</span>
      </span>
      {address !== null && <a href={address}>{t("sign.go")}</a>}
      {show.may("withdrawn") && (
        <TakeBack show={show} act={act} words={t("own.take_back")} test="take-back" of={list} />
      )}
    </li>
  );
}

function wallOf(act: Act): string {
  return checksOf(act)[0]?.split("/")[0] ?? "";
}
