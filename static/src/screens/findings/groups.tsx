/** Checks in groups on a screen: a line for each walk, row and what is to be said of them, which leads to its places. */

import type { ComponentChildren } from "preact";
import type { CheckState } from "../../book/findings";
import { said, type T } from "../../texts";
import { texts } from "../../ui/app";
import { Shape } from "../../ui/parts";
import type { ChecksFile } from "../../walk/checks/checks";
import { inFull } from "../../walk/checks/places";
import { type Group, grouped, type OfWalk, walkedIn } from "../../walk/findings/groups";
import type { AtWall } from "../place";

/** As many places as are listed of one group. */
const MOST_PLACES = 40;

/** Which groups are ticked, and a way to tick some of them. */
export interface Ticks<S extends string> {
  /** Whether a group may be ticked at all. */
  may: (group: Group<S>) => boolean;
  isOn: (group: Group<S>) => boolean;
  tick: (groups: Group<S>[], on: boolean) => void;
}

interface Said<S extends string> {
  /** What stands of a group behind the number of its checks. */
  word: (group: Group<S>) => string;
  /** The shape before it; none where null. */
  stateOf: (check: string) => CheckState | null;
  /** What else stands under a walk's heading. */
  under?: (walk: OfWalk<S>) => ComponentChildren;
  /** A walk's heading; its name without. */
  heading?: (walk: OfWalk<S>) => string | null;
  /** null where nothing may be ticked. */
  ticks: Ticks<S> | null;
}

/** All groups of some checks, walk by walk. */
export function Groups<S extends string>({ walks, ...at }: AtWall & Said<S> & { walks: OfWalk<S>[] }) {
  const t = texts();
  const { ticks, under, heading } = at;
  return (
    <>
      {walks.map((walk) => {
        const name = heading?.(walk) ?? `${walkInWords(t, walk.walk)}: ${sizeOf(walk)}`;
        return (
          <section class="groups" key={String(walk.walk)} data-test="of-walk" data-walk={walk.walk}>
            <h3>
              {ticks && walk.groups.some(ticks.may) && (
                <Tick
                  label={t("sign.tick", { what: name })}
                  on={walk.groups.filter(ticks.may).every(ticks.isOn)}
                  onTick={(on) => ticks.tick(walk.groups.filter(ticks.may), on)}
                />
              )}
              {name}
            </h3>
            {under?.(walk)}
            <ul>
              {walk.groups.map((group) => (
                <GroupLine key={group.key} {...at} group={group} />
              ))}
            </ul>
          </section>
        );
      })}
    </>
  );
}

/** How many checks the groups of a walk hold. */
export function sizeOf<S extends string>(walk: OfWalk<S>): number {
  return walk.groups.reduce((sum, { checks }) => sum + checks.length, 0);
}

function GroupLine<S extends string>({
  group,
  word,
  stateOf,
  ticks,
  ...at
}: AtWall & Said<S> & { group: Group<S> }) {
  const t = texts();
  const state = stateOf(group.checks[0] ?? "");
  const where = groupInWords(t, group);
  const count = group.checks.length > 1 ? `${group.checks.length} ` : "";
  return (
    <li data-test="group">
      {ticks?.may(group) && (
        <Tick
          label={t("sign.tick", { what: where })}
          on={ticks.isOn(group)}
          onTick={(on) => ticks.tick([group], on)}
        />
      )}
      <details>
        <summary>
          {state && <Shape state={state} />}
          <span>
            <strong>{where}</strong>{" "}
            <em>
              {count}
              {word(group)}
            </em>
          </span>
        </summary>
        <Places {...at} group={group} />
      </details>
      {group.walk !== null && (
        <a href={addressOf(at, group.checks[0] ?? "")} aria-label={t("sign.go_to", { place: where })}>
          {t("sign.go")}
        </a>
      )}
    </li>
  );
}

/** Every place of a group; each leads there. */
function Places<S extends string>({ group, ...at }: AtWall & { group: Group<S> }) {
  const t = texts();
  const more = group.checks.length - MOST_PLACES;
  return (
    <ul class="places">
      {group.checks.slice(0, MOST_PLACES).map((check) => (
        <li key={check}>
          {group.walk === null ? inFull(t, check) : <a href={addressOf(at, check)}>{inFull(t, check)}</a>}
        </li>
      ))}
      {more > 0 && <li class="fine">{t("sign.more", { n: more })}</li>}
    </ul>
  );
}

function Tick({ label, on, onTick }: { label: string; on: boolean; onTick: (on: boolean) => void }) {
  return (
    <label class="tick">
      <input
        type="checkbox"
        aria-label={label}
        checked={on}
        onChange={(event) => onTick(event.currentTarget.checked)}
      />
    </label>
  );
}

/** The address of the stop that a check is looked at. */
export function addressOf({ show, wall, file }: AtWall, check: string): string {
  const at = walkedIn(file).get(check);
  const book = show.membership.book;
  return at ? `#walk/${book}/${wall}/${at.walk}/${at.stop}` : `#home/${book}`;
}

function walkInWords(t: T, walk: string | null): string {
  return walk === null ? t("sign.unplanned") : said(t, "walk", walk);
}

/** A group in words: its one check in full, else its row, or what its places are. */
export function groupInWords<S extends string>(t: T, { of, checks }: Group<S>): string {
  const [only] = checks;
  if (only !== undefined && (checks.length === 1 || of === null)) return inFull(t, only);
  return typeof of === "number" ? t("sign.row", { row: of }) : said(t, "sign.of", of);
}

/** Where some checks are, in one line: `Load-in: Row 1, Row 2; Joints: Row 1`. */
export function whereInWords(t: T, file: ChecksFile, checks: string[]): string {
  const walks = grouped(
    file,
    checks.map((check) => ({ check, says: "" })),
  );
  return walks
    .map(
      ({ walk, groups }) =>
        `${walkInWords(t, walk)}: ${groups.map((group) => groupInWords(t, group)).join(", ")}`,
    )
    .join("; ");
}
