/** How a thing is: what was looked at, which parts are damaged, how much that matters, photos. */

import { useEffect, useRef, useState } from "preact/hooks";
import type { Damage } from "../../book/bodies";
import type { Weight } from "../../book/entry";
import { kindOf } from "../../scan/codes";
import type { Thing } from "../../scan/stock";
import { said } from "../../texts";
import { append, texts } from "../../ui/app";
import { Choices, Note, noteOf, Ticks, WeightChoices } from "../../ui/fields";
import { leaveWritten, useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { PhotoButton } from "../../ui/photos";
import { SteadyButton } from "../../ui/steady";
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
const DAMAGE_FORM = "damage-form";
const SIDE_KEYS: readonly Side[] = ["front", "rear"];

export function Look({ show, stage, code }: { show: Show; stage: Stage; code: string }) {
  const t = texts();
  const { book } = show.membership;
  const [damage, setDamage] = useState<Damage[]>([]);
  const [picked, setPicked] = useState<string | null>(null);
  const [covers, setCovers] = useState(coveredAtFirst(code));
  const [photos, setPhotos] = useState<string[]>([]);
  const [note, setNote] = useState("");
  const unsaid = picked !== null && !damage.some(({ part }) => part === picked) ? picked : null;
  const ticked = covers.length !== coveredAtFirst(code).length;
  useHalfEntered(ticked || unsaid !== null || damage.length > 0 || photos.length > 0 || note !== "");

  async function write() {
    const body = { item: code, stage, covers: coverOf(covers, damage), damage, photo_blobs: photos };
    if (await append(book, "item_looked_at", body, noteOf(note))) leaveWritten(() => history.back());
  }

  return (
    <Page book={book} title={show.stock?.groupedOf(code) ?? code} back={`#scan/${book}`}>
      <p class="fine">{t("look.how")}</p>
      <DamageFields {...{ show, code, damage, picked }} onChange={setDamage} onPick={setPicked} />
      <Covered code={code} covers={covers} onChange={setCovers} />
      <PhotoButton book={book} names={photos} onChange={setPhotos} wished={damage.length > 0} />
      <Note value={note} onType={setNote} />
      <Write damage={damage} unsaid={unsaid} covers={covers} onWrite={write} />
    </Page>
  );
}

/** The main button: what was tapped and not said is asked for, and nothing is called sound meanwhile. */
function Write({
  damage,
  unsaid,
  covers,
  onWrite,
}: {
  damage: Damage[];
  /** The part that was tapped and of which nobody has said yet what it is. */
  unsaid: string | null;
  covers: string[];
  onWrite: () => Promise<void>;
}) {
  const t = texts();
  if (unsaid !== null) {
    const ask = () => document.getElementById(DAMAGE_FORM)?.scrollIntoView();
    return (
      <button type="button" class="main other" data-test="unsaid" onClick={ask}>
        {t("look.unsaid", { part: partInWords(unsaid) })}
      </button>
    );
  }
  if (damage.length > 0) {
    return (
      <SteadyButton key="write" of="write" class="main alarm" test="write-look" onClick={onWrite}>
        {t("look.write", { n: damage.length })}
      </SteadyButton>
    );
  }
  const none = covers.length === 0;
  return (
    <SteadyButton key="sound" of="sound" class="main ok" test="write-sound" disabled={none} onClick={onWrite}>
      {t(none ? "look.tick_first" : "look.sound")}
    </SteadyButton>
  );
}

/** The drawings with what is damaged, a form for the part that was tapped, and all damage as a list. */
function DamageFields({
  show,
  code,
  damage,
  picked,
  onChange,
  onPick,
}: {
  show: Show;
  code: string;
  damage: Damage[];
  picked: string | null;
  onChange: (damage: Damage[]) => void;
  onPick: (part: string | null) => void;
}) {
  const t = texts();
  const others = damage.filter(({ part }) => part !== picked);
  const now = damage.find(({ part }) => part === picked) ?? null;
  /** On to the next part, on the drawings. */
  const done = () => {
    onPick(null);
    scrollTo(0, 0);
  };
  return (
    <>
      <Drawings show={show} code={code} marked={new Set(damage.map(({ part }) => part))} onPick={onPick} />
      {picked !== null && (
        <DamageForm
          key={picked}
          part={picked}
          now={now}
          onSet={(made) => onChange([...others, made])}
          onNone={() => {
            onChange(others);
            done();
          }}
          onDone={done}
        />
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

/** A tile has sides, and somebody says which were looked at; whoever says how another thing is has it in hand. */
function coveredAtFirst(code: string): string[] {
  const kind = kindOf(code);
  return kind === "tile" ? [] : (PARTS[kind ?? ""] ?? []);
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

/** What is wrong with a part and how much that matters; a damage is marked as soon as it is chosen. */
function DamageForm({
  part,
  now,
  onSet,
  onNone,
  onDone,
}: {
  part: string;
  now: Damage | null;
  onSet: (made: Damage) => void;
  onNone: () => void;
  onDone: () => void;
}) {
  const t = texts();
  const [weight, setWeight] = useState(now?.weight ?? "show");
  const form = useRef<HTMLElement>(null);
  // the part was tapped on a drawing that fills the screen
  useEffect(() => form.current?.scrollIntoView(), []);
  const weigh = (chosen: Weight) => {
    setWeight(chosen);
    if (now) onSet({ ...now, weight: chosen });
  };
  return (
    <section class="card" id={DAMAGE_FORM} data-test="damage-form" ref={form}>
      <h2>{partInWords(part)}</h2>
      <Choices
        legend={t("look.what")}
        name="what"
        keys={WHAT}
        chosen={now?.what ?? null}
        onPick={(what) => onSet({ part, what, weight })}
        word={(key) => said(t, "what", key)}
        short
      />
      <WeightChoices weights={WEIGHTS} chosen={weight} onPick={weigh} />
      <div class="steps">
        <button type="button" data-test="no-damage" onClick={onNone}>
          {t(now ? "look.none" : "look.leave")}
        </button>
        <button type="button" data-test="set-damage" disabled={now === null} onClick={onDone}>
          {t("look.set")}
        </button>
      </div>
    </section>
  );
}
