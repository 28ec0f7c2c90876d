/** What was made here and not yet seen in the book, why a sync has stopped, and both as files. */

import type { KeptEntry } from "../../book/entry";
import { at } from "../../book/must";
import { said, type T } from "../../texts";
import { statuses, texts, unsent, witnessed } from "../../ui/app";
import { clock, Oddities, Page } from "../../ui/parts";
import type { Show } from "../../walk/show/show";
import type { BookStatus } from "../../writer/protocol";
import { entryInWords } from "../entry_words";
import { checksOf, type EntryGroup, groupsOf } from "./entry_groups";

/** As many entries as are listed of one group. */
const MOST_LINES = 60;

type Refusal = BookStatus["refused"][number];

export function Unsent({ show }: { show: Show }) {
  const t = texts();
  const { book, device } = show.membership;
  const status = statuses.value[book];
  const own = [...show.entries.values()].filter((entry) => entry.index === null && entry.device === device);
  const refused = new Map((status?.refused ?? []).map((item) => [item.id, item]));
  return (
    <Page book={book} title={t("unsent.title")} back={`#home/${book}`}>
      {status && <Stopped status={status} />}
      <Oddities book={book} />
      {own.length === 0 && <p>{t("unsent.none")}</p>}
      <ul class="lines" data-test="unsent-groups">
        {groupsOf(show, own, (entry) => whyNot(t, refused.get(entry.id))).map((group) => (
          <Group key={group.key} group={group} />
        ))}
      </ul>
      {own.length > 0 && <Hand text={() => unsent(book)} name={`seamwalk-unsent-${book}.txt`} />}
      {status?.root && (
        <section>
          <h2>{t("unsent.witness")}</h2>
          <p class="fine">{t("unsent.witness_how", { n: status.size })}</p>
          <button
            type="button"
            class="quiet"
            data-test="save-book"
            onClick={async () => save(fileOf((await witnessed(book)) ?? "", `seamwalk-book-${book}.txt`))}
          >
            {t("unsent.witness_save")}
          </button>
        </section>
      )}
    </Page>
  );
}

function whyNot(t: T, no: Refusal | undefined): string | null {
  return no ? `${said(t, "unsent.why", no.why)} ${no.remedy}` : null;
}

/** Entries that are alike, when they were made, and what becomes of them; each by itself once it is opened. */
function Group({ group: { wall, walk, why, entries } }: { group: EntryGroup }) {
  const t = texts();
  const [first, last] = [at(entries, 0), entries.at(-1)];
  const from = clock(first.at);
  const until = clock(last?.at ?? first.at);
  const what = entries.length === 1 ? entryInWords(first) : manyInWords(t, entries);
  const where = [wall && t("act.wall", { wall }), walk && said(t, "walk", walk)].filter(Boolean).join(" · ");
  return (
    <li>
      <details class="grow entries">
        <summary>
          <span>
            <strong>{what}</strong> {where}{" "}
            <span class="fine">
              {from === until ? from : `${from} – ${until}`}, {why ?? t("unsent.waiting")}
            </span>
          </span>
        </summary>
        <ul class="places">
          {entries.slice(0, MOST_LINES).map((entry) => (
            <li key={entry.id}>
              {entryInWords(entry)} <span class="fine">{clock(entry.at)}</span>
            </li>
          ))}
          {entries.length > MOST_LINES && (
            <li class="fine">{t("sign.more", { n: entries.length - MOST_LINES })}</li>
          )}
        </ul>
      </details>
    </li>
  );
}

/** What many entries that are alike say. */
function manyInWords(t: T, entries: KeptEntry[]): string {
  const first = at(entries, 0);
  if (first.type === "found") {
    return said(t, "entry", first.body.result, { where: t("unsent.checks", { n: checksOf(entries) }) });
  }
  return t("entry.many", { where: entryInWords(first), n: entries.length - 1 });
}

/** What a phone says when its sync has stopped, or has gone on behind a restore. */
function Stopped({ status }: { status: BookStatus }) {
  const t = texts();
  const { sync, why, restores } = status;
  return (
    <>
      {(sync === "forked" || sync === "lost" || sync === "trouble") && (
        <div class="notice alarm" role="alert" data-test="stopped">
          <p>{t(`unsent.${sync}`)}</p>
          <p class="fine">{t("unsent.found", { why })}</p>
        </div>
      )}
      {restores > 0 && <p class="notice">{t("unsent.restores", { n: restores })}</p>}
    </>
  );
}

/** The unsent entries as a file, or through whatever this phone sends files with. */
function Hand({ text, name }: { text: () => Promise<string>; name: string }) {
  const t = texts();
  const shares = navigator.canShare?.({ files: [fileOf("", name)] }) ?? false;

  async function share() {
    const file = fileOf(await text(), name);
    await navigator.share({ files: [file] }).catch((error: DOMException) => {
      if (error.name !== "AbortError") return save(file);
    });
  }

  return (
    <section>
      <p class="fine">{t("unsent.how")}</p>
      {shares && (
        <button type="button" onClick={share}>
          {t("unsent.share")}
        </button>
      )}
      <button
        type="button"
        class="quiet"
        data-test="save-unsent"
        onClick={async () => save(fileOf(await text(), name))}
      >
        {t("unsent.save")}
      </button>
    </section>
  );
}

function fileOf(text: string, name: string): File {
  return new File([text], name, { type: "text/plain" });
}

function save(file: File): void {
  const url = URL.createObjectURL(file);
  const link = document.createElement("a");
  link.href = url;
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
