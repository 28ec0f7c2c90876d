/** What a stop says beside its checks: whose stretch it is, and into which case its tile goes. */

import { texts } from "../../ui/app";
import type { Walk } from "../../walk/checks/checks";
import type { Part as Stretch } from "../../walk/checks/sharing";
import type { Show } from "../../walk/show/show";
import { nameOf } from "../people";

/** Whose stretch of a shared walk a stop is in. */
export function Part({ show, wall, walk, index }: { show: Show; wall: string; walk: Walk; index: number }) {
  const t = texts();
  const parts: Stretch[] = show.records.sharing(wall, walk.key)?.body.parts ?? [];
  const part = parts.find(({ first, last }) => index >= first && index <= last);
  if (part === undefined) return null;
  const mine = part.person === show.me();
  const who = nameOf(show, part.person);
  return <p class={mine ? "fine" : "notice"}>{mine ? t("share.mine") : t("share.theirs", { who })}</p>;
}

/** The case that a tile goes into when the wall comes down. */
export function IntoCase({ show, wall, place }: { show: Show; wall: string; place: string }) {
  const t = texts();
  const [kind, tile = ""] = place.split("/");
  if (kind !== "tile") return null;
  const bindings = show.bindings.at(wall, tile);
  if (bindings.length === 0) return <p class="notice">{t("strike.no_label")}</p>;
  return (
    <>
      {bindings.map(({ id, name }) => {
        const found = show.stock?.find(name);
        const home = found?.is === "known" ? found.thing.homeCase : null;
        const shown = show.stock?.groupedOf(name) ?? name;
        const into = home && (show.stock?.groupedOf(home) ?? home);
        return (
          <p class="into" key={id} data-test="into">
            {into ? t("strike.into", { tile: shown, into }) : t("strike.no_home", { tile: shown })}
          </p>
        );
      })}
    </>
  );
}
