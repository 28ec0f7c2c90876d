/** Writing findings of a wall: never over a changed screen, never silently ahead of their turn. */

import { useState } from "preact/hooks";
import type { Bodies } from "../../book/bodies";
import type { KeptEntry } from "../../book/entry";
import type { Key } from "../../texts";
import { append } from "../../ui/app";
import { noteOf } from "../../ui/fields";
import { aheadOf } from "../../walk/checks/ahead";
import { type Drawn, isCurrent } from "../../walk/checks/answering";
import { type Before, beforeOf, checksNamed, isAhead } from "../../walk/checks/order";
import { walkOf } from "../../walk/findings/groups";
import { firstOf, maySecond } from "../../walk/findings/second_look";
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
  busy: boolean;
  asks: preact.JSX.Element | null;
}

/** Refused where the screen is out of date or the second look is another person's; asked for a reason where it is early. */
export function useWriting(at: AtWall): Writing {
  const { show, wall, file } = at;
  const [notice, setNotice] = useState<Key | null>(null);
  const [busy, setBusy] = useState(false);
  const [waiting, setWaiting] = useState<Waiting | null>(null);

  async function keep({ bodies, done }: Pick<Waiting, "bodies" | "done">, given: Given | null) {
    setWaiting(null);
    setNotice(null);
    setBusy(true);
    let entry: KeptEntry | null = null;
    for (const body of bodies) {
      const before = beforeOf(show, wall, file, checksNamed(file, body.checks));
      const ahead = given && body.result === "ok" && isAhead(before) ? aheadOf(before, given.reason) : null;
      const notes = ahead && given ? noteOf(given.note) : {};
      entry = await append(show.membership.book, "found", ahead ? { ...body, ahead } : body, notes);
      if (entry === null) break;
    }
    setBusy(false);
    done(entry);
  }

  async function write(bodies: Found[], seen: Drawn, done: (entry: KeptEntry | null) => void) {
    if (!isCurrent(show.fold, seen)) return setNotice("walk.changed");
    const oks = bodies.filter(({ result }) => result === "ok").flatMap(({ checks }) => checks);
    if (!oks.every((check) => maySecond(show.fold, check, show.me()))) return setNotice("walk.not_twice");
    const before = beforeOf(show, wall, file, checksNamed(file, oks));
    if (!isAhead(before)) return keep({ bodies, done }, null);
    const on = { show, wall, file, walk: walkOf(file, oks) };
    const given = keptReason(on);
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
      isSecond={waiting.bodies.some(({ checks }) => checks.some((check) => firstOf(check) !== null))}
      onGiven={(given) => give(waiting, given)}
      onLeave={() => setWaiting(null)}
    />
  );
  return { write, notice, busy, asks };
}
