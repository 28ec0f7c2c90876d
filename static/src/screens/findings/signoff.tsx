/** Signing a wall off: what is in the way, exceptions with reasons, the statement. */

import { useState } from "preact/hooks";
import { type InTheWay, statementsOf } from "../../book/signoff";
import { type Key, said } from "../../texts";
import { append, statuses, texts } from "../../ui/app";
import { clock, Page, Shape } from "../../ui/parts";
import type { Check, ChecksFile } from "../../walk/checks/checks";
import { checkPlaceInWords } from "../../walk/checks/places";
import { tooFast } from "../../walk/checks/progress";
import { type Exception, standsInTheWay, withoutPerson } from "../../walk/findings/in_the_way";
import type { Show, SignOff as Signed } from "../../walk/show/show";
import { checkInWords, whoOf } from "../checks/check";

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

export function SignOff({ show, wall, file }: { show: Show; wall: string; file: ChecksFile }) {
  const t = texts();
  const { book, role, device } = show.membership;
  const status = statuses.value[book];
  const statements = statementsOf(role);
  const [statement, setStatement] = useState(statements[0] ?? "");
  const [exceptions, setExceptions] = useState<Map<string, Exception>>(new Map());
  const [sure, setSure] = useState(false);
  const items = standsInTheWay(file, show.states(wall), show.fold);
  const left = items.filter((item) => !exceptions.has(item.check));
  const byId = new Map(file.checks.map((check) => [check.id, check]));
  const wrong = problem([...exceptions.values()], file);
  const fast = tooFast([...show.entries.values()]);

  async function sign() {
    if (!sure) {
      setSure(true);
      return;
    }
    const own = [...show.entries.values()].filter((entry) => entry.index === null && entry.device === device);
    const over = {
      epoch: status?.epoch,
      size: status?.size,
      root: status?.root,
      own: own.map((entry) => entry.id),
    };
    const used = [...exceptions.values()].filter((item) => items.some((other) => other.check === item.check));
    const body = { statement, wall, plan: show.plans.get(wall)?.id, ...over, exceptions: used };
    if (await append(book, "signed_off", body)) location.hash = `#home/${book}`;
  }

  function except(checks: string[]) {
    const fresh = checks.map((check): [string, Exception] => [check, { check, reason: "", person: null }]);
    setExceptions(new Map([...exceptions, ...fresh]));
  }

  return (
    <Page book={book} title={t("sign.title", { wall })} back={`#home/${book}`}>
      <SignOffLines show={show} wall={wall} />
      {statements.length === 0 && <p>{t("sign.none_allowed")}</p>}
      {left.length === 0 ? (
        <p>{t("sign.nothing")}</p>
      ) : (
        <h2 data-test="in-the-way">{t("sign.in_the_way", { n: left.length })}</h2>
      )}
      <ul class="lines">
        {left.slice(0, 200).map((item) => (
          <Line
            key={item.check}
            book={book}
            wall={wall}
            file={file}
            item={item}
            check={byId.get(item.check)}
            onExcept={() => except([item.check])}
          />
        ))}
      </ul>
      {left.length > 1 && statements.length > 0 && (
        <button type="button" class="quiet" onClick={() => except(left.map((item) => item.check))}>
          {t("sign.except_all", { n: left.length })}
        </button>
      )}
      {exceptions.size > 0 && <Exceptions exceptions={exceptions} byId={byId} onChange={setExceptions} />}
      {fast.length > 0 && <p class="notice">{t("sign.second_look", { n: fast.length })}</p>}
      {status && status.unsent > 0 && <p>{t("sign.unsent", { n: status.unsent })}</p>}
      {status && status.heldAtOffice > 0 && (
        <p class="notice" data-test="held">
          {t("sign.held", { n: status.heldAtOffice })}
        </p>
      )}
      {status?.lastSyncAt && <p class="fine">{t("sign.not_synced", { at: clock(status.lastSyncAt) })}</p>}
      <p class="caution">{t("sign.caution")}</p>
      {statements.length > 0 && (
        <fieldset class="choices">
          <legend>{t("sign.statement")}</legend>
          {statements.map((key) => (
            <label key={key} class="choice">
              <input
                type="radio"
                name="statement"
                checked={statement === key}
                onChange={() => setStatement(key)}
              />
              <span>
                <strong>{said(t, "sign", key)}</strong> {said(t, "sign.text", key)}
              </span>
            </label>
          ))}
        </fieldset>
      )}
      {wrong !== null && (
        <p class="wrong" role="alert">
          {t(wrong)}
        </p>
      )}
      {statements.length > 0 &&
        (status?.root ? (
          <button
            type="button"
            class="main"
            data-test="sign"
            disabled={left.length > 0 || wrong !== null}
            onClick={sign}
          >
            {sure ? t("sign.sure") : t("sign.do")}
          </button>
        ) : (
          <p class="wrong">{t("sign.needs_head")}</p>
        ))}
    </Page>
  );
}

function problem(exceptions: Exception[], file: ChecksFile): Key | null {
  if (exceptions.some((item) => !item.reason.trim())) return "sign.reason_needed";
  return withoutPerson(file, exceptions).length > 0 ? "sign.person_needed" : null;
}

function Line({
  book,
  wall,
  file,
  item,
  check,
  onExcept,
}: {
  book: string;
  wall: string;
  file: ChecksFile;
  item: InTheWay;
  check: Check | undefined;
  onExcept: () => void;
}) {
  const t = texts();
  const position = file.checks.findIndex((other) => other.id === item.check);
  const walk = file.walks.find((other) => other.stops.some((stop) => stop.checks.includes(position)));
  const stop = walk?.stops.findIndex((other) => other.checks.includes(position)) ?? 0;
  const place = checkPlaceInWords(t, item.check);
  const word =
    item.why === "not_ok" ? t(`state.${item.state.weight ?? item.state.state}`) : t(`sign.${item.why}`);
  return (
    <li>
      <Shape state={item.state} />
      <span class="grow">
        {place} · {check ? checkInWords(check) : item.check} <em>{word}</em>
      </span>
      {walk && <a href={`#walk/${book}/${wall}/${walk.key}/${stop}`}>{t("sign.go")}</a>}
      <button type="button" class="quiet" onClick={onExcept}>
        {t("sign.except")}
      </button>
    </li>
  );
}

function Exceptions({
  exceptions,
  byId,
  onChange,
}: {
  exceptions: Map<string, Exception>;
  byId: Map<string, Check>;
  onChange: (next: Map<string, Exception>) => void;
}) {
  const t = texts();
  const change = (part: Partial<Exception>) =>
    onChange(new Map([...exceptions].map(([check, item]) => [check, { ...item, ...part }])));
  const items = [...exceptions.values()];
  const structural = items.some((item) => byId.get(item.check)?.structural);
  return (
    <div class="exceptions">
      <h2>{t("sign.excepted", { n: items.length })}</h2>
      <label>
        {t("sign.reason")}
        <input
          data-test="reason"
          maxLength={200}
          value={items[0]?.reason ?? ""}
          onInput={(e) => change({ reason: e.currentTarget.value })}
        />
      </label>
      {structural && (
        <label>
          {t("sign.person")}
          <input
            data-test="person"
            maxLength={200}
            value={items[0]?.person ?? ""}
            onInput={(e) => change({ person: e.currentTarget.value || null })}
          />
        </label>
      )}
    </div>
  );
}
