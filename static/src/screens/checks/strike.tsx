/** Opening a wall, or some of its columns, for strike; and building on where it was opened. */

import { useState } from "preact/hooks";
import type { T } from "../../texts";
import { append, texts } from "../../ui/app";
import { Choices, Line, Note, noteOf, useFields, Wrong } from "../../ui/fields";
import { leaveWritten, useHalfEntered } from "../../ui/half_entered";
import { clock, Page } from "../../ui/parts";
import { SteadyButton, useSteady } from "../../ui/steady";
import type { ChecksFile } from "../../walk/checks/checks";
import { columnsOf, columnsWith, tilesWithin, type WrongColumns } from "../../walk/checks/strike";
import { whoOf } from "../people";
import type { AtWall } from "../place";

const REASONS = ["show_over", "cancelled", "weather", "rebuild"] as const;
const PARTS = ["all", "columns"] as const;

interface Filled {
  reason: (typeof REASONS)[number] | null;
  part: (typeof PARTS)[number] | null;
  from: string;
  to: string;
  note: string;
}

/** What is wrong with what was filled in. */
type Wrongly = WrongColumns | "reason_needed" | "part_needed";

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

function Opened({ show, wall, file, mayClose }: AtWall & { mayClose: boolean }) {
  const t = texts();
  const { book } = show.membership;
  const opened = show.records.opened(wall);
  // the list slides under the thumb with every one that is closed
  const steady = useSteady(opened.map(({ id }) => id).join(" "));
  return (
    <ul class="lines">
      {opened.map((entry) => (
        <li key={entry.id} data-test="strike-open">
          <span class="grow">
            <strong>{t(`strike.${entry.body.reason}`)}</strong>{" "}
            {partInWords(t, file, entry.body.tiles ?? null)}{" "}
            <span class="fine">{t("fault.by", { who: whoOf(show, entry), at: clock(entry.at) })}</span>
          </span>
          {mayClose && (
            <button
              type="button"
              data-test="close-strike"
              disabled={!steady}
              onClick={() => void append(book, "strike_closed", { opened: entry.id })}
            >
              {t("strike.close")}
            </button>
          )}
        </li>
      ))}
    </ul>
  );
}

/** What of a wall comes down: all of it, or its columns; of a plan that has other tiles how many they are. */
function partInWords(t: T, file: ChecksFile, tiles: string[] | null): string {
  if (tiles === null) return t("strike.whole");
  const runs = columnsWith(file, tiles);
  if (runs.length === 0) return t("strike.tiles", { n: tiles.length });
  return runs
    .map(({ first, last }) =>
      first === last ? t("strike.column_at", { column: first }) : t("strike.columns_at", { first, last }),
    )
    .join(", ");
}

/** On the wall's card: where its strike is open. */
export function StrikeLine({ show, wall, file }: AtWall) {
  const t = texts();
  const opened = show.records.opened(wall);
  if (opened.length === 0) return null;
  const where = opened.map(({ body }) => partInWords(t, file, body.tiles ?? null));
  return (
    <strong data-test="strike-line">{t("strike.line", { where: [...new Set(where)].join(", ") })}</strong>
  );
}

function OpenForm({ show, wall, file }: AtWall) {
  const t = texts();
  const empty: Filled = { reason: null, part: null, from: "", to: "", note: "" };
  const [filled, fill] = useFields(empty);
  const [wrong, setWrong] = useState<Wrongly | null>(null);
  const { book } = show.membership;
  useHalfEntered(JSON.stringify(filled) !== JSON.stringify(empty));

  /** What was wrong may not be so any more. */
  function say(part: Partial<Filled>) {
    fill(part);
    setWrong(null);
  }

  async function open() {
    const said = readOut(file, filled);
    setWrong(typeof said === "string" ? said : null);
    if (typeof said === "string") return;
    const body = { plan: show.planOf(wall), wall, ...said };
    if ((await append(book, "strike_opened", body, noteOf(filled.note))) === null) return;
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
        onPick={(reason) => say({ reason })}
        word={(key) => t(`strike.${key}`)}
      />
      <Choices
        legend={t("strike.what")}
        name="part"
        keys={PARTS}
        chosen={filled.part}
        onPick={(part) => say({ part })}
        word={(key) => t(`strike.${key}`)}
        short
      />
      {filled.part === "columns" && (
        <div class="steps">
          <Line
            label={t("strike.from")}
            test="from"
            most={4}
            value={filled.from}
            onType={(from) => say({ from })}
          />
          <Line label={t("strike.to")} test="to" most={4} value={filled.to} onType={(to) => say({ to })} />
        </div>
      )}
      <Note value={filled.note} onType={(note) => fill({ note })} />
      <p class="caution">{t("strike.caution")}</p>
      {wrong && (
        <Wrong>
          {t(`strike.${wrong}`, { wall, from: filled.from, to: filled.to, columns: file.columns })}
        </Wrong>
      )}
      <SteadyButton of="open" class="main alarm" test="open-strike" onClick={open}>
        {t("strike.open")}
      </SteadyButton>
    </>
  );
}

/** Why something comes down and its tiles, null for the whole wall; or what is wrong with what was filled in. */
function readOut(file: ChecksFile, { reason, part, from, to }: Filled) {
  if (reason === null) return "reason_needed" as const;
  if (part === null) return "part_needed" as const;
  if (part === "all") return { reason, tiles: null };
  const columns = columnsOf(file, from, to);
  if (typeof columns === "string") return columns;
  const tiles = tilesWithin(file, columns);
  return tiles.length > 0 ? { reason, tiles } : ("columns_needed" as const);
}
