/** Signing a wall off: what is in the way, exceptions with reasons, the statement. */

import { useState } from "preact/hooks";
import type { Statement } from "../../book/entry";
import { type InTheWay, statementsOf } from "../../book/signoff";
import { type Key, said } from "../../texts";
import { append, statuses, texts } from "../../ui/app";
import { Choices, Line, Wrong } from "../../ui/fields";
import { clock, Page, Shape } from "../../ui/parts";
import type { ChecksFile } from "../../walk/checks/checks";
import { checkPlaceInWords } from "../../walk/checks/places";
import { tooFast } from "../../walk/checks/progress";
import { type Exception, standsInTheWay, withoutPerson } from "../../walk/findings/in_the_way";
import type { Show, SignOff as Signed } from "../../walk/show/show";
import { checkInWords, whoOf } from "../checks/check";
import type { AtWall } from "../place";

/** As many lines as a phone draws at once. */
const MOST_LINES = 200;

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
  const words = {
    statement: said(t, "sign", entry.body.statement),
    who: whoOf(show, entry),
    at: clock(entry.at),
  };
  return (
    <p class={`signed ${lapse ? "lapsed" : "stands"}`} data-test="signed" data-lapsed={lapse !== null}>
      <strong>{t(lapse ? "sign.lapsed" : "sign.standing", words)}</strong>
      {lapse?.planDiffers && <span> {t("sign.plan_differs")}</span>}
      {lapse && lapse.worse.length > 0 && <span> {t("sign.worse", { n: lapse.worse.length })}</span>}
    </p>
  );
}

export function SignOff(at: AtWall) {
  const t = texts();
  const { show, wall, file } = at;
  const { book, role } = show.membership;
  const statements = statementsOf(role);
  const [statement, setStatement] = useState(statements[0] ?? null);
  const [exceptions, setExceptions] = useState<Map<string, Exception>>(new Map());
  const items = standsInTheWay(file, show.states(wall), show.fold, statement ?? "built");
  const left = items.filter((item) => !exceptions.has(item.check));
  const used = [...exceptions.values()].filter(({ check }) => items.some((item) => item.check === check));
  const wrong = problem([...exceptions.values()], file);

  function except(checks: string[]) {
    const fresh = checks.map((check): [string, Exception] => [check, { check, reason: "", person: null }]);
    setExceptions(new Map([...exceptions, ...fresh]));
  }

  return (
    <Page book={book} title={t("sign.title", { wall })} back={`#home/${book}`}>
      <SignOffLines show={show} wall={wall} />
      {statements.length === 0 && <p>{t("sign.none_allowed")}</p>}
      <Left {...at} left={left} onExcept={except} />
      {left.length > 1 && statements.length > 0 && (
        <button type="button" class="quiet" onClick={() => except(left.map((item) => item.check))}>
          {t("sign.except_all", { n: left.length })}
        </button>
      )}
      {exceptions.size > 0 && <Exceptions file={file} exceptions={exceptions} onChange={setExceptions} />}
      <Reminders show={show} />
      {statement !== null && (
        <StatementChoices statements={statements} chosen={statement} onPick={setStatement} />
      )}
      {wrong !== null && <Wrong>{t(wrong)}</Wrong>}
      {statement !== null && (
        <SignButton
          show={show}
          wall={wall}
          disabled={left.length > 0 || wrong !== null}
          statement={statement}
          exceptions={used}
        />
      )}
    </Page>
  );
}

function problem(exceptions: Exception[], file: ChecksFile): Key | null {
  if (exceptions.some((item) => !item.reason.trim())) return "sign.reason_needed";
  return withoutPerson(file, exceptions).length > 0 ? "sign.person_needed" : null;
}

/** What is in the way and not excepted yet; of very many the first ones. */
function Left({
  left,
  onExcept,
  ...at
}: AtWall & { left: InTheWay[]; onExcept: (checks: string[]) => void }) {
  const t = texts();
  return (
    <>
      {left.length === 0 ? (
        <p>{t("sign.nothing")}</p>
      ) : (
        <h2 data-test="in-the-way">{t("sign.in_the_way", { n: left.length })}</h2>
      )}
      <ul class="lines">
        {left.slice(0, MOST_LINES).map((item) => (
          <LeftLine key={item.check} {...at} item={item} onExcept={() => onExcept([item.check])} />
        ))}
      </ul>
    </>
  );
}

function LeftLine({ show, wall, file, item, onExcept }: AtWall & { item: InTheWay; onExcept: () => void }) {
  const t = texts();
  const position = file.checks.findIndex((other) => other.id === item.check);
  const check = file.checks[position];
  const walk = file.walks.find((other) => other.stops.some((stop) => stop.checks.includes(position)));
  const stop = walk?.stops.findIndex((other) => other.checks.includes(position)) ?? 0;
  const word =
    item.why === "not_ok" ? t(`state.${item.state.weight ?? item.state.state}`) : t(`sign.${item.why}`);
  return (
    <li>
      <Shape state={item.state} />
      <span class="grow">
        {checkPlaceInWords(t, item.check)} · {check ? checkInWords(check) : item.check} <em>{word}</em>
      </span>
      {walk && <a href={`#walk/${show.membership.book}/${wall}/${walk.key}/${stop}`}>{t("sign.go")}</a>}
      <button type="button" class="quiet" onClick={onExcept}>
        {t("sign.except")}
      </button>
    </li>
  );
}

/** The reason of all exceptions, and who says so where they are structural. */
function Exceptions({
  file,
  exceptions,
  onChange,
}: {
  file: ChecksFile;
  exceptions: Map<string, Exception>;
  onChange: (next: Map<string, Exception>) => void;
}) {
  const t = texts();
  const change = (part: Partial<Exception>) =>
    onChange(new Map([...exceptions].map(([check, item]) => [check, { ...item, ...part }])));
  const [first] = exceptions.values();
  const structural = file.checks.some((check) => check.structural && exceptions.has(check.id));
  return (
    <div class="exceptions">
      <h2>{t("sign.excepted", { n: exceptions.size })}</h2>
      <Line
        label={t("sign.reason")}
        test="reason"
        most={200}
        value={first?.reason ?? ""}
        onType={(reason) => change({ reason })}
      />
      {structural && (
        <Line
          label={t("sign.person")}
          test="person"
          most={200}
          value={first?.person ?? ""}
          onType={(person) => change({ person: person || null })}
        />
      )}
    </div>
  );
}

/** What is good to know before signing: looks that were too quick, what the office does not have yet. */
function Reminders({ show }: { show: Show }) {
  const t = texts();
  const status = statuses.value[show.membership.book];
  const fast = tooFast([...show.entries.values()]);
  return (
    <>
      {fast.length > 0 && <p class="notice">{t("sign.second_look", { n: fast.length })}</p>}
      {status && status.unsent > 0 && <p>{t("sign.unsent", { n: status.unsent })}</p>}
      {status && status.heldAtOffice > 0 && (
        <p class="notice" data-test="held">
          {t("sign.held", { n: status.heldAtOffice })}
        </p>
      )}
      {status?.lastSyncAt && <p class="fine">{t("sign.not_synced", { at: clock(status.lastSyncAt) })}</p>}
      <p class="caution">{t("sign.caution")}</p>
    </>
  );
}

function StatementChoices({
  statements,
  ...field
}: {
  statements: Statement[];
  chosen: Statement;
  onPick: (statement: Statement) => void;
}) {
  const t = texts();
  return (
    <Choices
      legend={t("sign.statement")}
      name="statement"
      keys={statements}
      word={(key) => (
        <>
          <strong>{said(t, "sign", key)}</strong> {said(t, "sign.text", key)}
        </>
      )}
      {...field}
    />
  );
}

/** Sign at the second tap, over the newest head that was checked and this phone's own entries beyond it. */
function SignButton({
  show,
  wall,
  disabled,
  ...signing
}: {
  show: Show;
  wall: string;
  disabled: boolean;
  statement: Statement;
  exceptions: Exception[];
}) {
  const t = texts();
  const { book, device } = show.membership;
  const status = statuses.value[book];
  const [sure, setSure] = useState(false);
  if (!status?.root) return <p class="wrong">{t("sign.needs_head")}</p>;
  const { epoch, size, root } = status;

  async function sign() {
    if (!sure) {
      setSure(true);
      return;
    }
    const own = [...show.entries.values()]
      .filter((entry) => entry.index === null && entry.device === device)
      .map((entry) => entry.id);
    const body = { ...signing, wall, plan: show.planOf(wall), epoch, size, root, own };
    if (await append(book, "signed_off", body)) location.hash = `#home/${book}`;
  }

  return (
    <button type="button" class="main" data-test="sign" disabled={disabled} onClick={sign}>
      {t(sure ? "sign.sure" : "sign.do")}
    </button>
  );
}
