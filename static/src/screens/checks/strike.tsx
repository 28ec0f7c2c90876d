/** Opening a wall, or some of its columns, for strike; and building on where it was opened. */

import { useState } from "preact/hooks";
import { append, texts } from "../../ui/app";
import { Choices, Line, Note, noteOf, useFields, Wrong } from "../../ui/fields";
import { leaveWritten, useHalfEntered } from "../../ui/half_entered";
import { clock, Page } from "../../ui/parts";
import type { ChecksFile } from "../../walk/checks/checks";
import type { AtWall } from "../place";
import { whoOf } from "./check";

const REASONS = ["show_over", "cancelled", "weather", "rebuild"] as const;
const PARTS = ["all", "columns"] as const;

interface Filled {
  reason: (typeof REASONS)[number] | null;
  part: (typeof PARTS)[number];
  from: string;
  to: string;
  note: string;
}

/** Where the strike of a wall is open, by whom; the crew chief opens and closes it. */
export function Strike(at: AtWall) {
  const t = texts();
  const { show, wall } = at;
  const { book } = show.membership;
  const mayOpen = show.may("strike_opened");
  return (
    <Page book={book} title={t("strike.title", { wall })} back={`#home/${book}`}>
      <p>{t("strike.always")}</p>
      <Opened {...at} mayClose={mayOpen} />
      {mayOpen ? <OpenForm {...at} /> : <p class="notice">{t("strike.by_chief")}</p>}
    </Page>
  );
}

function Opened({ show, wall, mayClose }: AtWall & { mayClose: boolean }) {
  const t = texts();
  const { book } = show.membership;
  return (
    <ul class="lines">
      {show.records.opened(wall).map((entry) => (
        <li key={entry.id} data-test="strike-open">
          <span class="grow">
            <strong>{t(`strike.${entry.body.reason}`)}</strong>{" "}
            {entry.body.tiles ? t("strike.tiles", { n: entry.body.tiles.length }) : t("strike.whole")}{" "}
            <span class="fine">{t("fault.by", { who: whoOf(show, entry), at: clock(entry.at) })}</span>
          </span>
          {mayClose && (
            <button type="button" onClick={() => void append(book, "strike_closed", { opened: entry.id })}>
              {t("strike.close")}
            </button>
          )}
        </li>
      ))}
    </ul>
  );
}

function OpenForm({ show, wall, file }: AtWall) {
  const t = texts();
  const empty: Filled = { reason: null, part: "all", from: "1", to: String(file.columns), note: "" };
  const [filled, fill] = useFields(empty);
  const [wrong, setWrong] = useState<"strike.reason_needed" | "strike.columns_needed" | null>(null);
  const { book } = show.membership;
  useHalfEntered(JSON.stringify(filled) !== JSON.stringify(empty));

  async function open() {
    const tiles = tilesOf(file, filled);
    const { reason, note } = filled;
    setWrong(reason === null ? "strike.reason_needed" : tiles === "none" ? "strike.columns_needed" : null);
    if (reason === null || tiles === "none") return;
    const body = { plan: show.planOf(wall), wall, tiles, reason };
    if ((await append(book, "strike_opened", body, noteOf(note))) === null) return;
    leaveWritten(() => {
      location.hash = `#home/${book}`;
    });
  }

  return (
    <>
      <Choices
        legend={t("strike.why")}
        name="reason"
        keys={REASONS}
        chosen={filled.reason}
        onPick={(reason) => {
          fill({ reason });
          setWrong(null);
        }}
        word={(key) => t(`strike.${key}`)}
      />
      <Choices
        legend={t("strike.what")}
        name="part"
        keys={PARTS}
        chosen={filled.part}
        onPick={(part) => fill({ part })}
        word={(key) => t(`strike.${key}`)}
        short
      />
      {filled.part === "columns" && (
        <div class="steps">
          <Line label={t("strike.from")} most={4} value={filled.from} onType={(from) => fill({ from })} />
          <Line label={t("strike.to")} most={4} value={filled.to} onType={(to) => fill({ to })} />
        </div>
      )}
      <Note value={filled.note} onType={(note) => fill({ note })} />
      {wrong && <Wrong>{t(wrong)}</Wrong>}
      <p class="caution">{t("strike.caution")}</p>
      <button type="button" class="main alarm" data-test="open-strike" onClick={() => void open()}>
        {t("strike.open")}
      </button>
    </>
  );
}

/** The tiles that are opened: null for the whole wall, "none" where the columns name none. */
function tilesOf(file: ChecksFile, { part, from, to }: Filled): string[] | null | "none" {
  if (part === "all") return null;
  const [first, last] = [Number(from), Number(to)];
  const tiles = file.tiles.filter(({ column, w }) => column >= first && column + w - 1 <= last);
  return tiles.length > 0 ? tiles.map(({ id }) => id) : "none";
}
