/** What is signed for as it is: groups of checks, each with one sentence, and who says so where it carries load. */

import { useState } from "preact/hooks";
import { texts } from "../../ui/app";
import { Line, Wrong } from "../../ui/fields";
import { useHalfEntered } from "../../ui/half_entered";
import type { ChecksFile } from "../../walk/checks/checks";
import { type Exception, withoutPerson } from "../../walk/findings/in_the_way";
import { whereInWords } from "./groups";

/** Checks that are signed for as they are, with one sentence for all of them. */
export interface Excepted {
  checks: string[];
  reason: string;
  person: string | null;
}

/** As a sign-off names them, check by check. */
export function exceptionsOf(excepted: Excepted[]): Exception[] {
  return excepted.flatMap(({ checks, reason, person }) => checks.map((check) => ({ check, reason, person })));
}

/** The sentence for what is ticked, and the competent person's name where some of it is structural. */
export function ExceptForm({
  file,
  checks,
  onKeep,
}: {
  file: ChecksFile;
  checks: string[];
  onKeep: (kept: Excepted) => void;
}) {
  const t = texts();
  const [reason, setReason] = useState("");
  const [person, setPerson] = useState("");
  const [asked, setAsked] = useState(false);
  useHalfEntered(reason !== "" || person !== "", "untaken");
  const kept = { checks, reason: reason.trim(), person: person.trim() || null };
  const structural = withoutPerson(file, exceptionsOf([{ ...kept, person: null }])).length > 0;
  const lacks = missing(kept, structural);

  function keep() {
    setAsked(true);
    if (lacks !== null) return;
    onKeep(kept);
    setReason("");
    setPerson("");
    setAsked(false);
  }

  return (
    <section class="exceptions">
      <Line label={t("sign.reason")} test="reason" most={200} value={reason} onType={setReason} />
      {structural && (
        <Line label={t("sign.person")} test="person" most={200} value={person} onType={setPerson} />
      )}
      {asked && lacks !== null && <Wrong>{t(lacks)}</Wrong>}
      <button type="button" data-test="except" onClick={keep}>
        {t("sign.except", { n: checks.length })}
      </button>
    </section>
  );
}

function missing({ reason, person }: Excepted, structural: boolean) {
  if (reason === "") return "sign.reason_needed" as const;
  return structural && person === null ? ("sign.person_needed" as const) : null;
}

/** What is signed for as it is so far. */
export function ExceptedLines({
  file,
  excepted,
  onTakeOut,
}: {
  file: ChecksFile;
  excepted: Excepted[];
  onTakeOut: (one: Excepted) => void;
}) {
  const t = texts();
  if (excepted.length === 0) return null;
  const count = excepted.reduce((sum, { checks }) => sum + checks.length, 0);
  return (
    <section data-test="excepted">
      <h2>{t("sign.excepted", { n: count })}</h2>
      <ul class="lines">
        {excepted.map((one) => (
          <li key={one.checks[0]}>
            <span class="grow">
              <strong>{one.checks.length}</strong> {whereInWords(t, file, one.checks)} <q>{one.reason}</q>{" "}
              {one.person}
            </span>
            <button type="button" class="quiet" onClick={() => onTakeOut(one)}>
              {t("sign.take_out")}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
