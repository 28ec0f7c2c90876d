/** Writing findings of a wall: never over a changed screen, never silently ahead of their turn. */

import { type ReadonlySignal, useSignal } from "@preact/signals";
import type { Bodies } from "../../book/bodies";
import type { KeptEntry } from "../../book/entry";
import type { Key } from "../../texts";
import { append } from "../../ui/app";
import { noteOf } from "../../ui/fields";
import { useStateOf } from "../../ui/state_of";
import { aheadOf, mayKeep } from "../../walk/checks/ahead";
import { type Drawn, isCurrent } from "../../walk/checks/answering";
import { kindOf } from "../../walk/checks/checks";
import { type Before, beforeOf, checksNamed, isAhead } from "../../walk/checks/order";
import { walkOf } from "../../walk/findings/groups";
import { firstOf, maySecond } from "../../walk/findings/second_look";
import type { Show } from "../../walk/show/show";
import type { AtWall, OnWalk } from "../place";
import { AheadForm, type Given, keptReason } from "./ahead";

type Found = Bodies["found"];

/** A finding that waits for a reason: the form that asks for it. */
interface Waiting {
  on: OnWalk;
  before: Before;
  bodies: Found[];
  seen: Drawn;
  done: (entry: KeptEntry | null) => void;
}

/** What can be written at a wall; `asks` is the form that is open over it, null where none is. */
export interface Writing {
  /** Write findings over what was drawn; `done` gets the last entry, and null where one could not be kept. */
  write: (bodies: Found[], seen: Drawn, done: (entry: KeptEntry | null) => void) => Promise<void>;
  notice: Key | null;
  /** Drawn by itself: a tap that is being kept draws nothing else anew. */
  busy: ReadonlySignal<boolean>;
  asks: preact.JSX.Element | null;
}

/** Whoever proved a wall dead has ended what was on for a test. */
async function endTests(show: Show, wall: string, bodies: Found[]): Promise<void> {
  const isDead = bodies.some(
    ({ result, checks }) => result === "ok" && checks.some((id) => kindOf(id) === "dead"),
  );
  const circuits = isDead ? [...show.records.live(wall).keys()] : [];
  if (circuits.length === 0) return;
  const body = { plan: show.planOf(wall), wall, circuits, live: false };
  await append(show.membership.book, "circuits_switched", body);
}

/**
 * Refused where the screen is out of date or the second look is another person's; asked for a reason where it is early.
 * What is said and asked belongs to what stands on the screen, `of`.
 */
export function useWriting(at: AtWall, of: string): Writing {
  const { show, wall, file } = at;
  const [notice, setNotice] = useStateOf<Key | null>(of, () => null);
  const busy = useSignal(false);
  const [waiting, setWaiting] = useStateOf<Waiting | null>(of, () => null);

  async function keep({ bodies, done }: Pick<Waiting, "bodies" | "done">, given: Given | null) {
    setWaiting(null);
    setNotice(null);
    busy.value = true;
    const end = (entry: KeptEntry | null) => {
      busy.value = false;
      done(entry);
    };
    if (bodies.length === 0) return end(null);
    for (const body of bodies) {
      const before = beforeOf(show, wall, file, checksNamed(file, body.checks));
      const ahead = given && body.result === "ok" && isAhead(before) ? aheadOf(before, given.reason) : null;
      const notes = ahead && given ? noteOf(given.note) : {};
      const atOnce = body === bodies.at(-1) ? end : undefined;
      const whole = ahead ? { ...body, ahead } : body;
      if ((await append(show.membership.book, "found", whole, notes, atOnce)) === null) return end(null);
    }
    await endTests(show, wall, bodies);
  }

  async function write(bodies: Found[], seen: Drawn, done: (entry: KeptEntry | null) => void) {
    if (!isCurrent(show.fold, seen)) return setNotice("walk.changed");
    const oks = bodies.filter(({ result }) => result === "ok").flatMap(({ checks }) => checks);
    if (!oks.every((check) => maySecond(show.fold, check, show.me()))) return setNotice("walk.not_twice");
    const before = beforeOf(show, wall, file, checksNamed(file, oks));
    if (!isAhead(before)) return keep({ bodies, done }, null);
    const on = { show, wall, file, walk: walkOf(file, oks) };
    const given = mayKeep(before) ? keptReason(on) : null;
    if (given === null) setWaiting({ on, before, bodies, seen, done });
    else await keep({ bodies, done }, given);
  }

  function give(asked: Waiting, given: Given) {
    if (isCurrent(show.fold, asked.seen)) return void keep(asked, given);
    setWaiting(null);
    setNotice("walk.changed");
  }

  const asks = waiting && (
    <AheadForm
      {...waiting.on}
      before={waiting.before}
      checks={waiting.bodies.flatMap(({ checks }) => checks)}
      isSecond={waiting.bodies.some(({ checks }) => checks.some((check) => firstOf(check) !== null))}
      onGiven={(given) => give(waiting, given)}
      onLeave={() => setWaiting(null)}
    />
  );
  return { write, notice, busy, asks };
}
