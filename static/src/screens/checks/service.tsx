/** Mending during the show: which tile, which part, the steps for it, what came out and what went in. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { append, editionOf, texts } from "../../ui/app";
import { Contacts } from "../../ui/contacts";
import { type Fill, useFields } from "../../ui/fields";
import { isUntaken, leave, useHalfEntered } from "../../ui/half_entered";
import { Page } from "../../ui/parts";
import { TileMap } from "../../ui/tile_map";
import { darkWith } from "../../walk/checks/cables";
import { type Check, type ChecksFile, checksAt, touchedBy, type Walk } from "../../walk/checks/checks";
import type { Edition } from "../../walk/checks/edition";
import { factsOf, limitsOf } from "../../walk/checks/facts";
import { faultyAt, isLabelled, PARTS_IN_ORDER, tilesAt, whereOf } from "../../walk/checks/parts";
import { type Procedure, readingsOf, type SwapPart } from "../../walk/checks/procedures";
import type { AtTile, AtWall } from "../place";
import { Cables } from "./cables";
import { FaultForm } from "./fault";
import { type Ended, ProcedureScreen } from "./procedure";
import { ModulePlaces, onlyPlace, PartField, SpareList } from "./service_parts";

/** A part to be changed, where it sits, and the steps for it. */
interface Choice {
  procedure: Procedure;
  part: SwapPart;
  where: string;
}

type AtSwap = AtTile & Choice;

export function Service({ show, wall, file, tile }: AtTile) {
  const t = texts();
  const { book } = show.membership;
  const [chosen, setChosen] = useState<Choice | null>(null);
  const at = { show, wall, file, tile };
  if (!file.tiles.some(({ id }) => id === tile)) return <WhichTile {...at} />;
  if (chosen !== null) return <Swap {...at} {...chosen} onLeave={() => setChosen(null)} />;
  return (
    <Page book={book} title={t("service.at", { wall, tile })} back={`#service/${book}/${wall}`}>
      <Cables file={file} place={`tile/${tile}`} />
      <p>{t("service.which_part")}</p>
      <WhichPart {...at} edition={editionOf(show)} onPick={setChosen} />
      <Contacts show={show} />
    </Page>
  );
}

function WhichTile({ show, wall, file }: AtWall) {
  const t = texts();
  const { book } = show.membership;
  const pick = (tile: string) => {
    location.hash = `#service/${book}/${wall}/${tile}`;
  };
  return (
    <Page book={book} title={t("service.title", { wall })} back={`#home/${book}`}>
      <p>{t("service.which_tile")}</p>
      <TileMap file={file} taken={() => false} onPick={pick} />
      <Contacts show={show} />
    </Page>
  );
}

function WhichPart({
  file,
  tile,
  edition,
  onPick,
}: AtTile & { edition: Edition | null; onPick: (choice: Choice) => void }) {
  const t = texts();
  if (edition === null) return <p>{t("how.none")}</p>;
  const choices = edition.actsAt("tile").flatMap((procedure) => {
    const part = procedure.swaps;
    const where = part && whereOf(file, part, tile);
    return part === null || where === null ? [] : [{ procedure, part, where }];
  });
  choices.sort((a, b) => PARTS_IN_ORDER.indexOf(a.part) - PARTS_IN_ORDER.indexOf(b.part));
  return (
    <>
      {choices.map((choice) => (
        <button
          type="button"
          key={choice.procedure.key}
          class="main other"
          data-test={`part-${choice.part}`}
          onClick={() => onPick(choice)}
        >
          {said(t, "kind", choice.part)}
        </button>
      ))}
    </>
  );
}

/** What is filled in before the steps begin. */
interface Filled {
  /** Where the module sits in its tile, and where the spare one was made for; null while nobody has said. */
  place: string | null;
  from: string | null;
  /** Labels of what comes out and of what goes in; null for a part without one. */
  out: string | null;
  spare: string | null;
}

/** A swap from its form through its steps to what it reopened, or to a fault where the steps end in one. */
function Swap({ onLeave, ...at }: AtSwap & { onLeave: () => void }) {
  const { show, wall, file, tile, part, where } = at;
  const only = onlyPlace(file, tile);
  const [filled, fill] = useFields<Filled>({ place: only, from: only, out: null, spare: null });
  const [stage, setStage] = useState<"form" | "steps" | "written">("form");
  const [fault, setFault] = useState<Ended | null>(null);
  const begun = Object.values(filled).some((value) => value !== null && value !== only);
  useHalfEntered(begun && stage !== "written");
  const failed = faultyAt(file, part, where);

  async function take(ended: Ended) {
    if (ended.end.fault !== null) setFault(ended);
    else if (await append(show.membership.book, "swapped", bodyOf(at, filled, ended))) setStage("written");
  }

  if (fault !== null && failed) {
    return <FaultForm show={show} wall={wall} file={file} check={failed} from={fault} onDone={onLeave} />;
  }
  if (stage === "written") return <Written {...at} out={filled.out} />;
  if (stage === "steps") {
    return (
      <SwapSteps
        {...at}
        filled={filled}
        onEnd={(ended) => void take(ended)}
        onLeave={() => setStage("form")}
      />
    );
  }
  const unsaid = part === "module" && (filled.place === null || filled.from === null);
  return (
    <Page book={show.membership.book} title={editionOf(show)?.title(at.procedure.key) ?? ""}>
      <SwapFields {...at} filled={filled} fill={fill} />
      <button
        type="button"
        class="main ok"
        data-test="begin"
        disabled={unsaid || isUntaken()}
        onClick={() => setStage("steps")}
      >
        {texts()(isUntaken() ? "half.untaken" : "service.begin")}
      </button>
      <button type="button" class="quiet" onClick={() => leave(onLeave)}>
        {texts()("how.leave")}
      </button>
    </Page>
  );
}

function bodyOf({ show, wall, file, tile, part, where }: AtSwap, filled: Filled, { run, photos }: Ended) {
  const { place, from, out, spare } = filled;
  return {
    plan: show.planOf(wall),
    part,
    where: part === "module" && place !== null ? `${tile}/${place}` : where,
    out,
    in: spare,
    reopens: touchedBy(file, part, where).map(({ id }) => id),
    readings: readingsOf(run),
    photo_blobs: photos,
    from_place: part === "module" ? from : null,
  };
}

function SwapFields({ filled, fill, ...at }: AtSwap & { filled: Filled; fill: Fill<Filled> }) {
  const t = texts();
  const { wall, file, tile, part } = at;
  return (
    <>
      <p class="fine">{t("service.at", { wall, tile })}</p>
      {part === "module" && onlyPlace(file, tile) === null && (
        <>
          <ModulePlaces
            {...at}
            label={t("service.module_at")}
            chosen={filled.place}
            onPick={(place) => fill({ place })}
          />
          <ModulePlaces
            {...at}
            label={t("service.spare_from")}
            chosen={filled.from}
            onPick={(from) => fill({ from })}
          />
        </>
      )}
      {isLabelled(part) && <Labels {...at} filled={filled} fill={fill} />}
    </>
  );
}

/** The labels of what comes out and of what goes in, and the spares that fit. */
function Labels({ filled, fill, ...at }: AtSwap & { filled: Filled; fill: Fill<Filled> }) {
  const t = texts();
  const { show, part } = at;
  return (
    <>
      <PartField
        show={show}
        kind={part}
        label={t("service.out")}
        code={filled.out}
        onCode={(out) => fill({ out })}
      />
      <PartField
        show={show}
        kind={part}
        label={t("service.in")}
        code={filled.spare}
        onCode={(spare) => fill({ spare })}
      />
      <SpareList {...at} onPick={(spare) => fill({ spare })} />
    </>
  );
}

/** The steps of the swap, each beside what goes dark meanwhile where that is asked. */
function SwapSteps({
  filled: { place, from },
  onEnd,
  onLeave,
  ...at
}: AtSwap & { filled: Filled; onEnd: (ended: Ended) => void; onLeave: () => void }) {
  const t = texts();
  const { show, wall, file, tile, part, where, procedure } = at;
  const facts = factsOf(file, [tile]);
  if (from !== null && place !== null && from !== place) facts.add("places_differ");
  const off = part === "outlet" ? tilesAt(file, where) : darkWith(file, tile);
  const dark = t("service.dark", { tiles: off.join(", ") });
  return (
    <ProcedureScreen
      show={show}
      procedure={procedure.key}
      facts={facts}
      limits={limitsOf(file, [tile])}
      where={t("service.at", { wall, tile: part === "module" && place ? `${tile} · ${place}` : tile })}
      beside={{ downstream: dark, dead: dark }}
      onEnd={onEnd}
      onLeave={onLeave}
    />
  );
}

/** What is to be done after a swap: quarantine, a new label, another look at what it reopened. */
function Written({ show, wall, file, part, where, out }: AtSwap & { out: string | null }) {
  const t = texts();
  const { book } = show.membership;
  const touched = touchedBy(file, part, where);
  const again = stopOfAny(file, touched);
  return (
    <Page book={book} title={t("service.written")} back={`#home/${book}`}>
      <p class="do" data-test="swapped">
        {t("service.reopened", { n: touched.length })}
      </p>
      {show.isOnAir(wall) && <p data-test="next-break">{t("service.next_break")}</p>}
      {out !== null && (
        <p class="notice">{t("service.quarantine", { code: show.stock?.groupedOf(out) ?? out })}</p>
      )}
      {part === "tile" && (
        <a class="main" href={`#scan/${book}`}>
          {t("service.scan_new")}
        </a>
      )}
      {again && (
        <a class="main" href={`#walk/${book}/${wall}/${again.walk.key}/${again.index}`}>
          {t("service.look_again")}
        </a>
      )}
    </Page>
  );
}

/** The first stop of a wall's walks at which one of the checks is looked at. */
function stopOfAny(file: ChecksFile, checks: Check[]): { walk: Walk; index: number } | undefined {
  const stops = file.walks.flatMap((walk) => walk.stops.map((stop, index) => ({ walk, index, stop })));
  return stops.find(({ stop }) => checksAt(file, stop).some((check) => checks.includes(check)));
}
