/** A case being counted: what is there, what is missing, what does not belong. */

import { count } from "../scan/counting";
import type { Stock } from "../scan/stock";
import { texts } from "../ui/app";

export function Counting({
  stock,
  box,
  scanned,
  onDone,
}: {
  stock: Stock;
  box: string;
  scanned: string[];
  onDone: () => void;
}) {
  const t = texts();
  const { there, missing, foreign } = count(stock, box, scanned);
  const whole = missing.length === 0;
  const looks = foreign.length > 0 ? "wrong" : whole ? "here" : "";
  const list = (codes: string[]) => codes.map((code) => stock.groupedOf(code)).join(", ");
  return (
    <section class={`card ${looks}`} data-test="counting">
      <p class="fine">{t("scan.counting", { box: stock.groupedOf(box) })}</p>
      <h2>
        {t(whole ? "scan.all_there" : "scan.so_many", {
          n: there.length,
          all: there.length + missing.length,
        })}
      </h2>
      {foreign.length > 0 && <p class="notice">{t("scan.not_home", { codes: list(foreign) })}</p>}
      {!whole && <p>{t("scan.missing", { codes: list(missing) })}</p>}
      <button type="button" class="quiet" onClick={onDone}>
        {t("scan.stop_counting")}
      </button>
    </section>
  );
}
