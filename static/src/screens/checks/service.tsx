/** Mending during the show: which tile, which part, the steps for it, what came out and what went in. */

import { useState } from "preact/hooks";
import { said } from "../../texts";
import { append, editionOf, texts } from "../../ui/app";
import { Contacts } from "../../ui/contacts";
import { Page } from "../../ui/parts";
import { TileMap } from "../../ui/tile_map";
import { darkWith } from "../../walk/checks/cables";
import type { Check, ChecksFile } from "../../walk/checks/checks";
import { factsOf, limitsOf } from "../../walk/checks/facts";
import { type Procedure, readingsOf } from "../../walk/checks/procedures";
import type { Show } from "../../walk/show/show";
import { Cables } from "./cables";
import { FaultForm } from "./fault";
import { type Ended, ProcedureScreen } from "./procedure";
import { ModulePlaces, onlyPlace, PartField, SpareList } from "./service_parts";

interface Place {
  show: Show;
  wall: string;
  file: ChecksFile;
  tile: string;
}

export function Service({ show, wall, file, tile }: Place) {
  const t = texts();
  const { book } = show.membership;
  const [part, setPart] = useState<Procedure | null>(null);
  const edition = editionOf(show);
  if (!file.tiles.some(({ id }) => id === tile)) {
    const pick = (chosen: string) => {
      location.hash = `#service/${book}/${wall}/${chosen}`;
    };
    return (
      <Page book={book} title={t("service.title", { wall })} back={`#home/${book}`}>
        <p>{t("service.which_tile")}</p>
        <TileMap file={file} taken={() => false} onPick={pick} />
        <Contacts show={show} />
      </Page>
    );
  }
  if (part !== null) {
    return (
      <Swap show={show} wall={wall} file={file} tile={tile} procedure={part} onLeave={() => setPart(null)} />
    );
  }
  return (
    <Page book={book} title={t("service.at", { wall, tile })} back={`#service/${book}/${wall}`}>
      <Cables file={file} place={`tile/${tile}`} />
      <p>{t("service.which_part")}</p>
      {edition
        ?.actsAt("tile")
        .filter(({ swaps }) => swaps !== null)
        .map((procedure) => (
          <button
            type="button"
            key={procedure.key}
            class="main other"
            data-test={`part-${procedure.swaps}`}
            onClick={() => setPart(procedure)}
          >
            {said(t, "kind", procedure.swaps)}
          </button>
        ))}
      {edition === null && <p>{t("how.none")}</p>}
      <Contacts show={show} />
    </Page>
  );
}

function Swap({
  show,
  wall,
  file,
  tile,
  procedure,
  onLeave,
}: Place & { procedure: Procedure; onLeave: () => void }) {
  const t = texts();
  const { book } = show.membership;
  const part = procedure.swaps as "module" | "electronics_unit" | "tile";
  const [place, setPlace] = useState(onlyPlace(file, tile));
  const [from, setFrom] = useState(onlyPlace(file, tile));
  const [out, setOut] = useState<string | null>(null);
  const [spare, setSpare] = useState<string | null>(null);
  const [walking, setWalking] = useState(false);
  const [fault, setFault] = useState<Ended | null>(null);
  const [written, setWritten] = useState(false);
  const touched = (file.touches[part]?.[tile] ?? []).map((index) => file.checks[index] as Check);
  const picture = file.checks.find(({ kind, tiles }) => kind === "picture" && tiles[0] === tile);
  const facts = factsOf(file, [tile]);
  if (from !== null && place !== null && from !== place) facts.add("places_differ");
  const dark = t("service.dark", { tiles: darkWith(file, tile).join(", ") });

  async function write({ run, photos }: Ended) {
    const body = {
      plan: show.plans.get(wall)?.id,
      part,
      where: part === "module" && place !== null ? `${tile}/${place}` : tile,
      out,
      in: spare,
      reopens: touched.map(({ id }) => id),
      readings: readingsOf(run),
      photo_blobs: photos,
      from_place: part === "module" ? from : null,
    };
    if (await append(book, "swapped", body)) setWritten(true);
  }

  if (fault !== null && picture) {
    return <FaultForm show={show} wall={wall} file={file} check={picture} from={fault} onDone={onLeave} />;
  }
  if (written)
    return (
      <Written show={show} wall={wall} file={file} touched={touched} out={out} isTile={part === "tile"} />
    );
  if (walking) {
    return (
      <ProcedureScreen
        show={show}
        procedure={procedure.key}
        facts={facts}
        limits={limitsOf(file, [tile])}
        where={t("service.at", { wall, tile: part === "module" && place ? `${tile} · ${place}` : tile })}
        beside={{ downstream: dark, dead: dark }}
        onEnd={(ended) => (ended.end.fault === null ? void write(ended) : setFault(ended))}
        onLeave={() => setWalking(false)}
      />
    );
  }
  return (
    <Page book={book} title={editionOf(show)?.title(procedure.key) ?? ""}>
      <p class="fine">{t("service.at", { wall, tile })}</p>
      {part === "module" && onlyPlace(file, tile) === null && (
        <>
          <ModulePlaces
            file={file}
            tile={tile}
            label={t("service.module_at")}
            chosen={place}
            onPick={setPlace}
          />
          <ModulePlaces
            file={file}
            tile={tile}
            label={t("service.spare_from")}
            chosen={from}
            onPick={setFrom}
          />
        </>
      )}
      <PartField show={show} kind={part} label={t("service.out")} code={out} onCode={setOut} />
      <PartField show={show} kind={part} label={t("service.in")} code={spare} onCode={setSpare} />
      <SpareList show={show} wall={wall} file={file} tile={tile} part={part} onPick={setSpare} />
      <button
        type="button"
        class="main ok"
        data-test="begin"
        disabled={part === "module" && (place === null || from === null)}
        onClick={() => setWalking(true)}
      >
        {t("service.begin")}
      </button>
      <button type="button" class="quiet" onClick={onLeave}>
        {t("how.leave")}
      </button>
    </Page>
  );
}

function Written({
  show,
  wall,
  file,
  touched,
  out,
  isTile,
}: {
  show: Show;
  wall: string;
  file: ChecksFile;
  touched: Check[];
  out: string | null;
  isTile: boolean;
}) {
  const t = texts();
  const { book } = show.membership;
  const stops = file.walks.flatMap((walk) =>
    walk.stops.flatMap((stop, index) =>
      stop.checks.some((number) => touched.includes(file.checks[number] as Check)) ? [{ walk, index }] : [],
    ),
  );
  const first = stops[0];
  return (
    <Page book={book} title={t("service.written")} back={`#home/${book}`}>
      <p class="do" data-test="swapped">
        {t("service.reopened", { n: touched.length })}
      </p>
      {out !== null && (
        <p class="notice">{t("service.quarantine", { code: show.stock?.groupedOf(out) ?? out })}</p>
      )}
      {isTile && (
        <a class="main" href={`#scan/${book}`}>
          {t("service.scan_new")}
        </a>
      )}
      {first && (
        <a class="main" href={`#walk/${book}/${wall}/${first.walk.key}/${first.index}`}>
          {t("service.look_again")}
        </a>
      )}
    </Page>
  );
}
