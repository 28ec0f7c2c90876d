/** Circuits that are switched on while the wall is being built, to test them: who did it, and off again. */

import { append, texts } from "../../ui/app";
import { LiveLink } from "../../ui/notices";
import { clock, Page } from "../../ui/parts";
import { SteadyButton } from "../../ui/steady";
import type { ChecksFile } from "../../walk/checks/checks";
import { holdsOf, isHeld } from "../../walk/checks/order";
import { placeOf } from "../../walk/checks/places";
import type { Show } from "../../walk/show/show";
import { whoOf } from "../people";
import type { AtWall } from "../place";

/** Every circuit of a wall: off, or live since when and by whom. It is never an OK. */
export function Live({ show, wall, file }: AtWall) {
  const t = texts();
  const { book } = show.membership;
  const live = show.records.live(wall);
  const circuits = (file.cables?.circuits ?? []).map((_, index) => `C${index + 1}`);
  const turn = (circuit: string, on: boolean) =>
    append(book, "circuits_switched", { plan: show.planOf(wall), wall, circuits: [circuit], live: on });
  return (
    <Page book={book} title={t("live.title", { wall })} back={`#home/${book}`}>
      <p class="notice">{t("live.caution")}</p>
      <p>{t("live.no_ok")}</p>
      {circuits.length === 0 && <p>{t("live.none")}</p>}
      <ul class="lines">
        {circuits.map((circuit) => {
          const by = live.get(circuit);
          const held = isCircuitHeld(show, file, circuit);
          return (
            <li key={circuit} data-test="circuit" data-live={by !== undefined}>
              <span class="grow">
                <strong>{t("place.circuit", { number: circuit.slice(1) })}</strong>{" "}
                {by ? t("live.since", { who: whoOf(show, by), at: clock(by.at) }) : t("live.off")}
                {held && <em> {t("live.held")}</em>}
              </span>
              {show.may("circuits_switched") && (
                <SteadyButton
                  of={by?.id ?? "off"}
                  class={by ? "alarm" : ""}
                  test="turn"
                  disabled={held && by === undefined}
                  onClick={() => turn(circuit, by === undefined)}
                >
                  {t(by ? "live.turn_off" : "live.turn_on")}
                </SteadyButton>
              )}
            </li>
          );
        })}
      </ul>
    </Page>
  );
}

/** Whether a stop holds what a circuit feeds: it is not switched on before whoever may lets the crew go on. */
function isCircuitHeld(show: Show, file: ChecksFile, circuit: string): boolean {
  const check = file.checks.find(
    ({ id, kind }) => kind === "circuit" && placeOf(id) === `circuit/${circuit}`,
  );
  if (check === undefined) return false;
  return holdsOf(show, file).some((hold) => hold.check === check.id || isHeld(file, hold, check));
}

/** What is live at a wall; shown to all, on its walks too. */
export function LiveLine({ show, wall }: Pick<AtWall, "show" | "wall">) {
  const live = [...show.records.live(wall).keys()];
  if (live.length === 0) return null;
  return (
    <p class="notice alarm" role="alert" data-test="live">
      <LiveLink show={show} wall={wall} circuits={live} />
    </p>
  );
}
