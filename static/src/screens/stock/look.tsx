/** How a thing is: what was looked at, which parts are damaged, how much that matters, photos. */

import { useState } from "preact/hooks";
import type { Damage } from "../../book/bodies";
import type { Weight } from "../../book/entry";
import { kindOf } from "../../scan/codes";
import type { Thing } from "../../scan/stock";
import { said } from "../../texts";
import { append, texts } from "../../ui/app";
import { Choices, Note, noteOf, Ticks, WeightChoices } from "../../ui/fields";
import { Page } from "../../ui/parts";
import { PhotoButton } from "../../ui/photos";
import { partInWords, SIDES, type Side, TileSide } from "../../ui/tile_drawing";
import type { Show } from "../../walk/show/show";
import type { Stage } from "../../walk/stock/cases";
import parts from "../../walk/stock/parts.json";

/** Parts of things that are no tiles. */
const PARTS: Record<string, string[]> = parts.of_kind;
const WHAT = [
  "broken",
  "chipped",
  "dented",
  "scratched",
  "bent",
  "loose",
  "dirty",
  "wet",
  "dead",
  "missing",
] as const;
const WEIGHTS: readonly Weight[] = ["show", "cosmetic", "stop"];
const SIDE_KEYS: readonly Side[] = ["front", "rear"];

export function Look({ show, stage, code }: { show: Show; stage: Stage; code: string }) {
  const t = texts();
  const { book } = show.membership;
  const [damage, setDamage] = useState<Damage[]>([]);
  const [covers, setCovers] = useState<string[]>(groupsOf(code));
  const [photos, setPhotos] = useState<string[]>([]);
  const [note, setNote] = useState("");

  async function write() {
    const body = { item: code, stage, covers: coverOf(covers, damage), damage, photo_blobs: photos };
    if (await append(book, "item_looked_at", body, noteOf(note))) history.back();
  }

  return (
    <Page book={book} title={show.stock?.groupedOf(code) ?? code} back={`#scan/${book}`}>
      <p class="fine">{t("look.how")}</p>
      <DamageFields show={show} code={code} damage={damage} onChange={setDamage} />
      <Covered code={code} covers={covers} onChange={setCovers} />
      <PhotoButton book={book} names={photos} onChange={setPhotos} wished={damage.length > 0} />
      <Note value={note} onType={setNote} />
      {damage.length > 0 ? (
        <button type="button" class="main alarm" data-test="write-look" onClick={() => void write()}>
          {t("look.write", { n: damage.length })}
        </button>
      ) : (
        <button
          type="button"
          class="main ok"
          data-test="write-sound"
          disabled={covers.length === 0}
          onClick={() => void write()}
        >
          {t("look.sound")}
        </button>
      )}
    </Page>
  );
}

/** The drawings with what is damaged, a form for the part that was tapped, and all damage as a list. */
function DamageFields({
  show,
  code,
  damage,
  onChange,
}: {
  show: Show;
  code: string;
  damage: Damage[];
  onChange: (damage: Damage[]) => void;
}) {
  const t = texts();
  const [picked, setPicked] = useState<string | null>(null);
  const set = (made: Damage | null) => {
    onChange([...damage.filter(({ part }) => part !== picked), ...(made ? [made] : [])]);
    setPicked(null);
  };
  return (
    <>
      <Drawings show={show} code={code} marked={new Set(damage.map(({ part }) => part))} onPick={setPicked} />
      {picked !== null && (
        <DamageForm part={picked} now={damage.find(({ part }) => part === picked) ?? null} onSet={set} />
      )}
      <ul class="lines" data-test="damage">
        {damage.map(({ part, what, weight }) => (
          <li key={part}>
            <strong>{partInWords(part)}</strong>
            <span class="grow">{said(t, "what", what)}</span>
            <span>{said(t, "fault", weight)}</span>
          </li>
        ))}
      </ul>
    </>
  );
}

/** The drawings of a tile, or the parts of another thing as buttons. */
export function Drawings({
  show,
  code,
  marked,
  onPick,
}: {
  show: Show;
  code: string;
  marked: Set<string>;
  onPick: (part: string) => void;
}) {
  const kind = kindOf(code);
  if (kind !== "tile") {
    return (
      <div class="steps">
        {(PARTS[kind ?? ""] ?? []).map((part) => (
          <button
            type="button"
            key={part}
            data-part={part}
            aria-pressed={marked.has(part)}
            onClick={() => onPick(part)}
          >
            {partInWords(part)}
          </button>
        ))}
      </div>
    );
  }
  const { columns, rows } = modulesOf(show, show.stock?.thing(code));
  return (
    <div class="tile_sides">
      {SIDE_KEYS.map((side) => (
        <TileSide key={side} side={side} columns={columns} rows={rows} marked={marked} onPick={onPick} />
      ))}
    </div>
  );
}

function modulesOf(show: Show, thing: Thing | undefined): { columns: number; rows: number } {
  const types = [...show.files.values()].map((file) => file.types?.[thing?.tileType ?? ""]?.modules);
  return types.find((modules) => modules !== undefined) ?? { columns: 1, rows: 1 };
}

function groupsOf(code: string): string[] {
  const kind = kindOf(code);
  return kind === "tile" ? [...new Set(Object.values(SIDES).flat())] : (PARTS[kind ?? ""] ?? []);
}

/** Whatever is damaged was looked at, also where its side was not looked at all over. */
function coverOf(covers: string[], damage: Damage[]): string[] {
  const bare = damage.map(({ part }) => part).filter((part) => !covers.includes(part.split(":")[0] ?? ""));
  return [...covers, ...bare];
}

/** Which sides were looked at: what was not looked at is not reported as sound. */
function Covered({
  code,
  covers,
  onChange,
}: {
  code: string;
  covers: string[];
  onChange: (covers: string[]) => void;
}) {
  const t = texts();
  if (kindOf(code) !== "tile") return null;
  const toggle = (side: Side, on: boolean) => {
    const other = SIDES[side === "front" ? "rear" : "front"];
    const otherOn = other.every((group) => covers.includes(group));
    onChange([...new Set([...(otherOn ? other : []), ...(on ? SIDES[side] : [])])]);
  };
  return (
    <Ticks
      legend={t("look.covered")}
      keys={SIDE_KEYS}
      isOn={(side) => SIDES[side].every((group) => covers.includes(group))}
      onTick={toggle}
      word={(side) => t(`look.${side}`)}
    />
  );
}

function DamageForm({
  part,
  now,
  onSet,
}: {
  part: string;
  now: Damage | null;
  onSet: (made: Damage | null) => void;
}) {
  const t = texts();
  const [what, setWhat] = useState(now?.what ?? "");
  const [weight, setWeight] = useState(now?.weight ?? "show");
  return (
    <section class="card" data-test="damage-form">
      <h2>{partInWords(part)}</h2>
      <Choices
        legend={t("look.what")}
        name="what"
        keys={WHAT}
        chosen={what}
        onPick={setWhat}
        word={(key) => said(t, "what", key)}
        short
      />
      <WeightChoices weights={WEIGHTS} chosen={weight} onPick={setWeight} />
      <div class="steps">
        <button type="button" onClick={() => onSet(null)}>
          {t(now ? "look.none" : "look.leave")}
        </button>
        <button
          type="button"
          data-test="set-damage"
          disabled={what === ""}
          onClick={() => onSet({ part, what, weight })}
        >
          {t("look.set")}
        </button>
      </div>
    </section>
  );
}
