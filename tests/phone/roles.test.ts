/** Nobody is offered what the office would only hold: every screen, drawn for every role. */

import { beforeAll, describe, expect, it, vi } from "vitest";
import type { EntryType } from "../../static/src/book/entry";
import roles from "../../static/src/book/roles.json";
import { start, statuses } from "../../static/src/ui/app";
import { AT, BOOK, entryOf, everyScreen, GOOD, HASH, showOf } from "./odd_books";
import { document, marks } from "./screen";

vi.mock("../../static/src/writer/client", () => ({
  Client: { connect: () => ({ call: async () => null }) },
  WriterError: class extends Error {},
  highWater: () => ({}),
}));

beforeAll(() => {
  vi.stubGlobal("document", document);
  vi.stubGlobal("localStorage", { getItem: () => null, setItem: () => undefined });
  vi.stubGlobal("matchMedia", () => ({ matches: true }));
  start();
});

/** By what writing begins: a button by its test's name, a screen that is there only to write by its address. */
const BEGINS: [EntryType, RegExp][] = [
  ["found", /^(ok|rest|fault|how|check-how|check-ok|not-reached|looked-again|paper-begin)$/],
  ["found", /^tool-strike$/],
  ["pace_answered", /^afterwards$/],
  ["withdrawn", /^(undo|undo-there|own-acts|take-back)$/],
  ["swapped", /^(tool-service|#service\/.+\/1\.1)$/],
  ["work_shared", /^(share|#share.*)$/],
  ["tile_bound", /^#scan\/.+\/A\//],
  ["procedure_walked", /^(#act\/.*|incident|act-.*|case-in)$/],
  ["circuits_switched", /^(turn|tool-live)$/],
  ["strike_opened", /^open-strike$/],
  ["stop_released", /^release$/],
  ["signed_off", /^sign$/],
  ["item_seen", /^(cases-.*|count-.*)$/],
  ["item_looked_at", /^#look/],
  ["item_benched", /^(bench|#bench\/.+\/.+)$/],
  ["hire_handed_over", /\/new$/],
  ["countersigned", /^(countersign|agree)$/],
];

/** Asked for only after a run of taps that nobody can walk, and at a stop of a wall that stops hold. */
const SELDOM: EntryType[] = ["pace_answered", "stop_released"];

/** A night with faults, a stop that somebody else has mended, a tile in its place, a handover, oks of this phone. */
async function night(role: string): Promise<string[]> {
  const stop = await entryOf("found", GOOD.found, { kid: "other" });
  const ok = { ...GOOD.found, result: "ok", weight: null, reason: null };
  const told = [
    await entryOf("plan_set", GOOD.plan_set),
    await entryOf("device_admitted", GOOD.device_admitted),
    stop,
    await entryOf("found", { ...ok, answers: [stop.id] }, { kid: "other" }),
    await entryOf("found", { ...GOOD.found, weight: "show", checks: ["A/tile/1.1/condition:sound"] }),
    await entryOf("found", ok),
    await entryOf("tile_bound", GOOD.tile_bound),
    await entryOf("hire_handed_over", GOOD.hire_handed_over),
  ];
  const synced = {
    size: 9,
    root: HASH,
    epoch: 1,
    unsent: 0,
    held: 0,
    heldAtOffice: 0,
    refused: [],
    restores: 0,
  };
  const sync = { sync: "idle" as const, why: "", lastSyncAt: AT, clockAheadMs: 0, admitted: true };
  const whole = { copies: 0, forked: false, missing: 0 };
  statuses.value = { [BOOK]: { book: BOOK, ...synced, ...sync, ...whole } };
  return everyScreen(showOf(told, role), marks).split(/\s+/);
}

describe("a role", () => {
  it.each(Object.entries(roles))(
    "%s is offered what it may write, and nothing else",
    async (role, rights) => {
      const offered = await night(role);
      const wrong = BEGINS.filter(([type]) => !rights.writes.includes(type)).flatMap(([type, begins]) =>
        offered.filter((mark) => begins.test(mark)).map((mark) => `${type}: ${mark}`),
      );
      expect(wrong).toEqual([]);
    },
  );

  it("of the crew or the chief is offered each of these: the marks are those of the screens", async () => {
    const offered = [...(await night("crew")), ...(await night("chief")), ...(await night("warehouse"))];
    const never = BEGINS.filter(([, begins]) => !offered.some((mark) => begins.test(mark)));
    expect(never.map(([type]) => type)).toEqual(SELDOM);
  });
});
