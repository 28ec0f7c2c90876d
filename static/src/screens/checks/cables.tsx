/** What feeds the tile that one stands before, where its plan says so. */

import { texts } from "../../ui/app";
import { cablesOf } from "../../walk/checks/cables";
import type { ChecksFile } from "../../walk/checks/checks";

/** The same, folded, where other things come first. */
export function FoldedCables({ file, place }: { file: ChecksFile; place: string }) {
  const [kind, tile = ""] = place.split("/");
  const { power, data } = cablesOf(file, tile);
  if (kind !== "tile" || !(power || data)) return null;
  return (
    <details class="history">
      <summary>{texts()("cables.title")}</summary>
      <Cables file={file} place={place} />
    </details>
  );
}

export function Cables({ file, place }: { file: ChecksFile; place: string }) {
  const t = texts();
  const [kind, tile = ""] = place.split("/");
  const { power, data } = cablesOf(file, tile);
  if (kind !== "tile" || !(power || data)) return null;
  const from = (tileBefore: string | null) => tileBefore ?? t("cables.feed");
  return (
    <dl class="cables" data-test="cables">
      {power && (
        <>
          <dt>
            {t("cables.circuit", { n: power.number })}
            {power.line && ` · ${power.line}`}
          </dt>
          <dd>
            {t("cables.from", { from: from(power.from) })}, {t("cables.behind", { n: power.behind })}
          </dd>
        </>
      )}
      {data && (
        <>
          <dt>
            {t("cables.port", { n: data.number })}
            {data.backup !== null && ` · ${t("cables.backup", { n: data.backup })}`}
          </dt>
          <dd>{t("cables.from", { from: from(data.from) })}</dd>
        </>
      )}
      {power && <dd class="fine">{t("cables.caution")}</dd>}
    </dl>
  );
}
