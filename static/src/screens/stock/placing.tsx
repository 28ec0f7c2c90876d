/** Where a scanned tile stands, and putting it somewhere else. */

import { useState } from "preact/hooks";
import type { Found } from "../../scan/stock";
import { append, texts } from "../../ui/app";
import { useHalfEntered } from "../../ui/half_entered";
import { SteadyButton } from "../../ui/steady";
import { TileMap } from "../../ui/tile_map";
import { idsOfTile } from "../../walk/checks/progress";
import type { Show } from "../../walk/show/show";
import type { Binding } from "../../walk/stock/bindings";
import type { Target } from "./target";

interface Labelled {
  show: Show;
  found: Exclude<Found, { is: "unknown" | "revoked" }>;
  target: Target | null;
  onBound: () => void;
}

/** Where a tile stands, and putting it somewhere: what stands there already is a question. */
export function Placing({ show, found, target, onBound }: Labelled) {
  const t = texts();
  const [chosen, setChosen] = useState<Target | null>(null);
  const [choosing, setChoosing] = useState<string | null>(null);
  useHalfEntered(chosen !== null);
  const name = found.is === "known" ? found.thing.code : found.text;
  const where = show.bindings.of(name);
  const place = chosen ?? target;
  const mayBind = show.may("tile_bound");
  const walls = [...show.plans.keys()].filter((wall) => show.fileOf(wall) !== null).sort();

  async function bind(to: Target) {
    const kept = await append(show.membership.book, "tile_bound", bindingOf(show, found, to));
    setChosen(null);
    if (kept) onBound();
  }

  if (choosing !== null) {
    const pick = (tile: string) => {
      setChoosing(null);
      setChosen({ wall: choosing, tile });
    };
    return <Places show={show} wall={choosing} onPick={pick} />;
  }
  return (
    <>
      {where.map((binding) => (
        <Standing key={binding.id} show={show} binding={binding} />
      ))}
      {where.length > 1 && <p class="notice">{t("scan.twice")}</p>}
      {place && mayBind && (
        <Ask show={show} name={name} place={place} where={where} onYes={() => bind(place)} />
      )}
      {!place &&
        mayBind &&
        walls.map((wall) => (
          <button key={wall} type="button" class="quiet" onClick={() => setChoosing(wall)}>
            {t("scan.put", { wall })}
          </button>
        ))}
    </>
  );
}

/** A thing put at a place; it replaces where the thing stood and what stood there, as shown on the screen. */
function bindingOf(show: Show, found: Labelled["found"], { wall, tile }: Target) {
  const name = found.is === "known" ? found.thing.code : found.text;
  const others = [...show.bindings.of(name), ...show.bindings.at(wall, tile)];
  return {
    plan: show.planOf(wall),
    wall,
    tile,
    item: found.is === "known" ? name : null,
    tag: found.is === "known" ? null : name,
    replaces: [...new Set(others.map(({ id }) => id))],
  };
}

/** The places of a wall to tap, those that are taken marked. */
function Places({ show, wall, onPick }: { show: Show; wall: string; onPick: (tile: string) => void }) {
  const file = show.fileOf(wall);
  if (file === null) return null;
  return <TileMap file={file} taken={(tile) => show.bindings.at(wall, tile).length > 0} onPick={onPick} />;
}

function Standing({ show, binding }: { show: Show; binding: Binding }) {
  const t = texts();
  const { id, wall, tile } = binding;
  const { book, device } = show.membership;
  const isMine = show.authorOf(binding.device) === show.authorOf(device);
  const file = show.fileOf(wall);
  const open = file
    ? idsOfTile(file, tile).filter((check) => show.fold.state(check).state !== "ok").length
    : 0;
  const walk = file?.walks.find(({ stops }) => stops.some((stop) => stop.place === `tile/${tile}`));
  const stop = walk?.stops.findIndex(({ place }) => place === `tile/${tile}`);
  return (
    <>
      <p data-test="stands">
        {t("scan.stands", { wall, tile })}{" "}
        {walk ? (
          <a href={`#walk/${book}/${wall}/${walk.key}/${stop}`}>{t("scan.open", { n: open })}</a>
        ) : null}
      </p>
      {file && show.may("swapped") && (
        <a class="button quiet" href={`#service/${book}/${wall}/${tile}`}>
          {t("home.service")}
        </a>
      )}
      {isMine && show.may("withdrawn") && (
        <button type="button" class="quiet" onClick={() => void append(book, "withdrawn", { entry: id })}>
          {t("scan.take_back", { wall, tile })}
        </button>
      )}
    </>
  );
}

function Ask({
  show,
  name,
  place,
  where,
  onYes,
}: {
  show: Show;
  name: string;
  place: Target;
  where: Binding[];
  onYes: () => Promise<void>;
}) {
  const t = texts();
  const isHere = where.some(({ wall, tile }) => wall === place.wall && tile === place.tile);
  const there = show.bindings.at(place.wall, place.tile).filter((binding) => binding.name !== name);
  if (isHere && there.length === 0 && where.length === 1) return <p class="fine">{t("scan.is_here")}</p>;
  const asks = [
    ...where.map(({ wall, tile }) => t("scan.moves", { wall, tile })),
    ...there.map((binding) =>
      t("scan.instead", { other: show.stock?.groupedOf(binding.name) ?? binding.name }),
    ),
  ];
  return (
    <div class="ask">
      {asks.map((words) => (
        <p key={words} class="notice" data-test="question">
          {words}
        </p>
      ))}
      <SteadyButton of={[name, ...asks].join(" ")} class="main" test="bind" onClick={onYes}>
        {t(asks.length > 0 ? "scan.bind_anyway" : "scan.bind", { wall: place.wall, tile: place.tile })}
      </SteadyButton>
    </div>
  );
}
