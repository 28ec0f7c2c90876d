/** What was made here and not yet seen in the book. */

import { statuses, texts, unsent } from "../ui/app";
import { Page } from "../ui/parts";
import type { Show } from "../walk/show";
import { entryInWords } from "./walk";

export function Unsent({ show }: { show: Show }) {
  const t = texts();
  const { book, device } = show.membership;
  const own = [...show.entries.values()].filter((entry) => entry.index === null && entry.device === device);
  const refused = new Map((statuses.value[book]?.refused ?? []).map((item) => [item.id, item]));

  async function save() {
    const url = URL.createObjectURL(new Blob([await unsent(book)], { type: "text/plain" }));
    const link = document.createElement("a");
    link.href = url;
    link.download = `seamwalk-unsent-${book}.txt`;
    link.click();
    URL.revokeObjectURL(url);
  }

  return (
    <Page book={book} title={t("unsent.title")} back={`#home/${book}`}>
      {own.length === 0 && <p>{t("unsent.none")}</p>}
      <ul class="lines">
        {own.map((entry) => {
          const no = refused.get(entry.id);
          return (
            <li key={entry.id}>
              <strong>{entryInWords(entry)}</strong>{" "}
              <span class="fine">
                {no ? `${t(`unsent.why.${no.why}`)} ${no.remedy}` : t("unsent.waiting")}
              </span>
            </li>
          );
        })}
      </ul>
      {own.length > 0 && (
        <button type="button" class="quiet" onClick={save}>
          {t("unsent.save")}
        </button>
      )}
    </Page>
  );
}
