/** What is in the way of a sign-off, in groups, and what of it is signed for as it is. */

import { useState } from "preact/hooks";
import type { Weight } from "../../book/entry";
import type { State } from "../../book/findings";
import type { InTheWay, WhyNot } from "../../book/signoff";
import { said } from "../../texts";
import { statuses, texts } from "../../ui/app";
import { type Group, grouped, type OfWalk } from "../../walk/findings/groups";
import { maySecond } from "../../walk/findings/second_look";
import type { AtWall } from "../place";
import { type Excepted, ExceptForm } from "./exceptions";
import { Groups, sizeOf } from "./groups";

type Why = State | Weight | WhyNot | "vanished";

/** What is in the way though nothing is wrong at the check itself. */
const OF_SIGNING: readonly Why[] = ["same_hands", "too_early", "not_released", "coming_down", "vanished"];

/** A stop is no exception: it is mended, and let go on by whose duty it is. */
const OF_STOP: readonly Why[] = ["stop", "not_released"];

function mayExcept({ says }: Group<Why>): boolean {
  return !OF_STOP.includes(says);
}

const SECOND_LOOK = "second_look";

/** What is in the way and not excepted yet. `onExcept` is null for whoever signs nothing. */
export function InTheWaySection({
  left,
  onExcept,
  ...at
}: AtWall & { left: InTheWay[]; onExcept: ((kept: Excepted) => void) | null }) {
  const t = texts();
  const [ticked, setTicked] = useState<ReadonlySet<string>>(new Set());
  const states = new Map(left.map(({ check, state }) => [check, state]));
  const says = left.map(({ check, why, state }): { check: string; says: Why } => {
    return { check, says: why === "not_ok" ? (state.weight ?? state.state) : why };
  });
  const checks = left.map(({ check }) => check).filter((check) => ticked.has(check));

  const isOn = (group: Group<Why>) => group.checks.every((check) => ticked.has(check));

  function tick(groups: Group<Why>[], on: boolean) {
    const named = groups.flatMap((group) => group.checks);
    setTicked((now) => new Set([...now].filter((check) => !named.includes(check)).concat(on ? named : [])));
  }

  function keep(kept: Excepted) {
    onExcept?.(kept);
    setTicked(new Set());
  }

  if (left.length === 0) return <Nothing book={at.show.membership.book} />;
  return (
    <>
      <h2 data-test="in-the-way">{t("sign.in_the_way", { n: left.length })}</h2>
      {onExcept && <p class="fine">{t("sign.tick_how")}</p>}
      <Groups
        {...at}
        walks={grouped(at.file, says)}
        word={({ says }) => said(t, OF_SIGNING.includes(says) ? "sign" : "state", says)}
        stateOf={(check) => states.get(check) ?? null}
        heading={(walk) => (walk.walk === SECOND_LOOK ? t("sign.second_looks", { n: sizeOf(walk) }) : null)}
        under={(walk) => walk.walk === SECOND_LOOK && at.show.may("found") && <ByWhom {...at} walk={walk} />}
        ticks={onExcept && { may: mayExcept, isOn, tick }}
      />
      {onExcept && says.some(({ says }) => OF_STOP.includes(says)) && (
        <p class="notice" data-test="no-except">
          {t("sign.stop_stays")}
        </p>
      )}
      {checks.length > 0 && <ExceptForm file={at.file} checks={checks} onKeep={keep} />}
    </>
  );
}

/** That nothing is in the way, as far as this phone knows: what waits at the office is not counted. */
function Nothing({ book }: { book: string }) {
  const held = statuses.value[book]?.heldAtOffice ?? 0;
  return <p>{texts()(held > 0 ? "sign.nothing_known" : "sign.nothing")}</p>;
}

/** How many of the second looks that are missing the person who holds this phone can give. */
function ByWhom({ show, walk }: AtWall & { walk: OfWalk<Why> }) {
  const t = texts();
  const checks = walk.groups.flatMap((group) => group.checks);
  const mine = checks.filter((check) => maySecond(show.fold, check, show.me())).length;
  return (
    <p class="fine">
      {mine > 0 && t("sign.second_mine", { n: mine })}{" "}
      {mine < checks.length && t("sign.second_others", { n: checks.length - mine })}
    </p>
  );
}
