/** On the sign-off: what was found ok ahead of its turn, by whom and why, and what was not there yet. */

import { said } from "../../texts";
import { textOf, texts } from "../../ui/app";
import { clock } from "../../ui/parts";
import { signable } from "../../walk/checks/checks";
import { type AheadOk, aheadOks } from "../../walk/findings/ahead_oks";
import { whoOf } from "../people";
import type { AtWall } from "../place";
import { whereInWords } from "./groups";

/** Oks of one person for one reason. */
interface Together {
  key: string;
  all: AheadOk[];
}

export function AheadSection(at: AtWall) {
  const t = texts();
  const all = aheadOks(
    at.show,
    signable(at.file).map(({ id }) => id),
  );
  if (all.length === 0) return null;
  const checks = new Set(all.map(({ check }) => check));
  return (
    <section data-test="ahead">
      <h2>{t("sign.ahead", { n: checks.size })}</h2>
      <ul class="lines">
        {together(all).map(({ key, all: same }) => (
          <AheadLine key={key} {...at} same={same} />
        ))}
      </ul>
    </section>
  );
}

function together(all: AheadOk[]): Together[] {
  const groups = new Map<string, Together>();
  for (const one of all) {
    const key = `${one.ok.device}/${one.reason}/${one.ok.body.note_blob ?? ""}`;
    const group = groups.get(key);
    if (group) group.all.push(one);
    else groups.set(key, { key, all: [one] });
  }
  return [...groups.values()];
}

function AheadLine({ show, file, same }: AtWall & { same: AheadOk[] }) {
  const t = texts();
  const [first] = same;
  if (first === undefined) return null;
  const { ok, reason } = first;
  const missing = [...new Set(same.flatMap((one) => one.missing))];
  const note = textOf(show.membership.book, ok.body.note_blob ?? null);
  return (
    <li>
      <span class="grow">
        <strong>
          {whoOf(show, ok)}, {clock(ok.at)}
        </strong>{" "}
        {whereInWords(
          t,
          file,
          same.map(({ check }) => check),
        )}
        . {said(t, "ahead", reason)} <q>{note}</q>{" "}
        {missing.length > 0 && t("sign.ahead_of", { where: whereInWords(t, file, missing) })}{" "}
        {same.some(({ held }) => held) && t("sign.ahead_held")}
      </span>
    </li>
  );
}
