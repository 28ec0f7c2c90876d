import { describe, expect, it } from "vitest";
import type { Bodies } from "../../static/src/book/bodies";
import { at } from "../../static/src/book/must";
import type { Check, ChecksFile } from "../../static/src/walk/checks/checks";
import { beforeOf, comingDown, holdsOf, isAhead, isHeld, openedBy } from "../../static/src/walk/checks/order";
import { standsInTheWay } from "../../static/src/walk/findings/in_the_way";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";
import { checkOf, tileAt, wallFile } from "./walls";

const LOCKS = "A/side/1.1/2.1/locks:2";
const SECOND = "A/side/1.1/2.1/second_look:2";
const GUARD = "A/side/1.1/2.1/guard:in";
const BAR = "A/bar/b1/level:true";
const FOOT = "A/base/b1/1.1/locks:2";
const FAR = "A/tile/3.1/condition:sound";
const FAR_PICTURE = "A/tile/3.1/picture:clean";
const CIRCUIT = "A/circuit/C1/circuit:in_order";
const DEAD = "A/feed/all/dead:proved";
const STRUCK = "A/tile/1.1/struck:cased";
const OF_TILES: Record<string, string[]> = {
  [LOCKS]: ["1.1", "2.1"],
  [SECOND]: ["1.1", "2.1"],
  [GUARD]: ["1.1", "2.1"],
  [FOOT]: ["1.1"],
  [FAR]: ["3.1"],
  [FAR_PICTURE]: ["3.1"],
  [CIRCUIT]: ["1.1", "2.1"],
  [STRUCK]: ["1.1"],
};
const IDS = [LOCKS, SECOND, GUARD, BAR, FOOT, FAR, FAR_PICTURE, CIRCUIT, DEAD, STRUCK];
const kind = (duty: string, always = false) => ({ procedure: "", structural: false, duty, always });

const FILE: ChecksFile = wallFile({
  v: 2,
  columns: 3,
  rows: 1,
  tiles: ["1.1", "2.1", "3.1"].map((id) => tileAt(id)),
  checks: IDS.map((id) => checkOf(id, { tiles: OF_TILES[id] ?? [] })),
  walks: [
    {
      key: "all",
      stops: IDS.map((id, i) => ({
        place: id.split("/").slice(1, -1).join("/"),
        column: id === FAR ? 3 : 1,
        row: 1,
        checks: [i],
      })),
    },
  ],
  turns: [{ before: [0], after: [1] }],
  rests: [{ before: [0], after: [1, 2] }],
  kinds: {
    locks: kind("structure"),
    second_look: kind("structure"),
    level: kind("site"),
    condition: kind("site"),
    guard: kind("site"),
    circuit: kind("mains"),
    picture: kind("site"),
    dead: kind("mains", true),
    struck: kind("site"),
  },
});

const check = (id: string): Check => at(FILE.checks, IDS.indexOf(id));
const before = (show: Show, ...ids: string[]) => beforeOf(show, "A", FILE, ids.map(check));

function found(id: string, device: string, body: Partial<Bodies["found"]>) {
  return keptEntry("found", { plan: "", checks: [id], result: "ok", ...body }, { device });
}

function stopAt(id: string, reopens: string[] = []) {
  return found(id, "finder", { result: "fault", weight: "stop", reason: "open", reopens });
}

function mended(show: Show, fault: { id: string }, id: string, device = "mender") {
  show.add([found(id, device, { answers: [fault.id] })]);
}

function released(fault: { id: string }, id: string, duty: "structure" | "mains" | "site", device = "boss") {
  return keptEntry("stop_released", { plan: "", fault: fault.id, check: id, duty }, { device });
}

describe("a check's turn", () => {
  it("comes when what is to be ok before is ok", () => {
    const show = new Show(ME);
    expect(before(show, SECOND).missing).toEqual([LOCKS]);
    show.add([found(LOCKS, "me", {})]);
    expect(isAhead(before(show, SECOND))).toBe(false);
    show.add([stopAt(LOCKS)]);
    expect(before(show, SECOND).missing).toEqual([LOCKS]);
  });

  it("waits for what it rests on while a fault stands there, in one tap with it too", () => {
    const show = new Show(ME);
    show.add([stopAt(LOCKS, [SECOND, GUARD])]);
    expect(before(show, GUARD).missing).toEqual([LOCKS]);
    expect(before(show, LOCKS, GUARD).missing).toEqual([LOCKS]);
  });

  it("is there for what one tap answers together", () => {
    expect(before(new Show(ME), LOCKS, SECOND).missing).toEqual([]);
  });

  it("is never asked of walls that were planned before it was known", () => {
    const old = { ...FILE, v: 1 as const, turns: [], rests: [] };
    expect(isAhead(beforeOf(new Show(ME), "A", old, [check(SECOND), check(STRUCK)]))).toBe(false);
  });

  it("of taking down comes when the strike is opened there, of making safe it is always", () => {
    const show = new Show(ME);
    expect(before(show, DEAD).notOpened).toBe(false);
    expect(before(show, STRUCK).notOpened).toBe(true);
    const body = { plan: "", wall: "A", reason: "show_over" as const };
    const part = keptEntry("strike_opened", { ...body, tiles: ["3.1"] }, {});
    show.add([part]);
    expect(before(show, STRUCK).notOpened).toBe(true);
    const whole = keptEntry("strike_opened", { ...body, tiles: null }, {});
    show.add([whole]);
    expect(before(show, STRUCK).notOpened).toBe(false);
    show.add([keptEntry("strike_closed", { opened: whole.id }, {})]);
    expect(before(show, STRUCK).notOpened).toBe(true);
  });
});

describe("a stop", () => {
  it("holds its columns and the guard that it opened, but neither its own check, the second look, nor what is elsewhere", () => {
    const show = new Show(ME);
    show.add([stopAt(LOCKS, [SECOND, GUARD])]);
    const hold = at(holdsOf(show, FILE), 0);
    const held = IDS.filter((id) => isHeld(FILE, hold, check(id)));
    expect(held).toEqual([GUARD, BAR, FOOT, CIRCUIT, STRUCK]);
    expect(before(show, FOOT).holds).toEqual([hold]);
  });

  it("at a bar holds what is joined to it", () => {
    const show = new Show(ME);
    show.add([stopAt(BAR)]);
    const hold = at(holdsOf(show, FILE), 0);
    expect([LOCKS, FOOT, FAR].map((id) => isHeld(FILE, hold, check(id)))).toEqual([true, true, false]);
  });

  it("of the mains holds what is on its circuit, and nothing that is only built", () => {
    const show = new Show(ME);
    show.add([stopAt(CIRCUIT)]);
    const hold = at(holdsOf(show, FILE), 0);
    expect([LOCKS, FAR_PICTURE, CIRCUIT].map((id) => isHeld(FILE, hold, check(id)))).toEqual([
      false,
      false,
      false,
    ]);
    expect(isHeld(FILE, { ...hold, check: DEAD }, check(FAR_PICTURE))).toBe(true);
  });

  it("ends when it is mended and released by another person of its duty", () => {
    const show = new Show(ME);
    const fault = stopAt(LOCKS);
    show.add([fault]);
    show.add([released(fault, LOCKS, "structure")]);
    expect(holdsOf(show, FILE)).toHaveLength(1);
    mended(show, fault, LOCKS);
    expect(holdsOf(show, FILE)).toHaveLength(0);
  });

  it("is not ended by another duty, nor by the one who mended alone", () => {
    const show = new Show(ME);
    const fault = stopAt(LOCKS);
    show.add([fault, released(fault, LOCKS, "site"), released(fault, LOCKS, "structure", "mender")]);
    mended(show, fault, LOCKS);
    expect(holdsOf(show, FILE)).toHaveLength(1);
  });
});

describe("a part that comes down", () => {
  it("is not signed as built meanwhile, and what its supply feeds is", () => {
    const show = new Show(ME);
    show.add([LOCKS, FAR, BAR, FOOT, FAR_PICTURE, CIRCUIT, GUARD].map((id) => found(id, "other", {})));
    show.add([found(SECOND, "mender", {})]);
    const way = (statement: string) =>
      standsInTheWay(FILE, show.states("A"), show.fold, statement, comingDown(show, "A", FILE)).map(
        ({ check, why }) => `${check} ${why}`,
      );
    expect(way("built")).toEqual([]);
    const body = { plan: "", wall: "A", reason: "rebuild" as const, tiles: ["3.1"] };
    show.add([keptEntry("strike_opened", body, {})]);
    expect(way("built")).toEqual([`${FAR} coming_down`, `${FAR_PICTURE} coming_down`]);
    expect(way("picture")).toEqual([]);
  });
});

describe("a fault", () => {
  it("opens again what rests on its check, and what its checks share once", () => {
    expect(openedBy(FILE, [LOCKS])).toEqual([SECOND, GUARD]);
    expect(openedBy(FILE, [LOCKS, GUARD])).toEqual([SECOND]);
    expect(openedBy(FILE, [FAR])).toEqual([]);
  });
});
