/** Copying a paper in: whose paper it is and when it was walked stand on every entry, until it is put away. */

import { useState } from "preact/hooks";
import { paper, texts } from "./app";
import { Line, Wrong } from "./fields";
import { useHalfEntered } from "./half_entered";
import { clock } from "./parts";

/** Whose paper is being copied in; empty while none is. */
export function paperInWords(): string {
  if (paper.value === null) return "";
  const { by, at } = paper.value;
  return texts()("paper.on", { by, at: clock(at) });
}

/** Begin to copy a paper in, or put it away. */
export function PaperMode() {
  const t = texts();
  const [by, setBy] = useState("");
  const [at, setAt] = useState("");
  const [wrong, setWrong] = useState(false);
  useHalfEntered(by !== "" || at !== "");
  if (paper.value !== null) {
    return (
      <div class="notice" data-test="paper">
        <p>{paperInWords()}</p>
        <button
          type="button"
          onClick={() => {
            paper.value = null;
          }}
        >
          {t("paper.off")}
        </button>
      </div>
    );
  }
  const begin = () => {
    const moment = new Date(at);
    const good = by.trim() !== "" && !Number.isNaN(moment.getTime());
    setWrong(!good);
    if (!good) return;
    paper.value = { by: by.trim(), at: moment.toISOString() };
    setBy("");
    setAt("");
  };
  return (
    <details class="history">
      <summary>{t("paper.title")}</summary>
      <p>{t("paper.how")}</p>
      <Line label={t("paper.by")} test="paper-by" most={60} value={by} onType={setBy} />
      <label>
        {t("paper.at")}
        <input
          type="datetime-local"
          value={at}
          data-test="paper-at"
          onInput={(e) => setAt(e.currentTarget.value)}
        />
      </label>
      {wrong && <Wrong>{t("paper.wrong")}</Wrong>}
      <button type="button" class="quiet" data-test="paper-begin" onClick={begin}>
        {t("paper.do")}
      </button>
    </details>
  );
}
