/** A second look that counts for nothing is to be looked at again, wherever it shows. */

import { describe, expect, it } from "vitest";
import { draw, okForAll } from "../../static/src/walk/checks/answering";
import { asksFor, count } from "../../static/src/walk/checks/progress";
import { percentOk } from "../../static/src/walk/checks/wall_progress";
import { secondOf, standsAs } from "../../static/src/walk/findings/second_look";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";
import { checkOf, wallFile } from "./walls";

const LOCKS = "A/side/1.1/2.1/locks:2";
const SECOND = "A/side/1.1/2.1/second_look:2";
const stop = { place: "row/1/1-2", column: 1, row: 1, checks: [1] };
const file = wallFile({
  v: 2,
  checks: [checkOf(LOCKS), checkOf(SECOND)],
  walks: [{ key: "second_look", stops: [stop] }],
});

function ok(check: string, device: string, at: string, missing: string[] = []) {
  const ahead = missing.length > 0 ? { ahead: { reason: "order", missing, held: [] } } : {};
  const body = { plan: "p", checks: [check], result: "ok", answers: [], ...ahead };
  return keptEntry("found", body, { device, at: `2026-11-20T${at}:00.000Z` });
}

describe("a second look before any first one", () => {
  it("asks to be given again once somebody has looked first, and is whole then", () => {
    const show = new Show(ME);
    show.add([ok(SECOND, "mika", "20:00", [LOCKS]), ok(LOCKS, "lena", "21:00")]);
    expect(show.fold.state(SECOND).state).toBe("ok");
    expect(standsAs(show.fold, SECOND).state).toBe("reopened");
    expect(count(show.fold, [LOCKS, SECOND])).toMatchObject({ ok: 1, reopened: 1 });
    expect(asksFor(show.fold, file, stop, "mika")).toBe("look");
    expect(asksFor(show.fold, file, stop, "lena"), "she looked first").toBeNull();
    expect(percentOk(show.fold, file)).toBe(50);
    const drawn = draw(show.fold, file.checks);
    expect(okForAll("p", file.checks, drawn, show.fold, "mika")?.checks).toEqual([SECOND]);
    show.add([ok(SECOND, "mika", "22:00")]);
    expect(standsAs(show.fold, SECOND).state).toBe("ok");
    expect(asksFor(show.fold, file, stop, "mika")).toBeNull();
  });

  it("is found from the first look, and only from there", () => {
    expect(secondOf(LOCKS)).toBe(SECOND);
    expect(secondOf(SECOND)).toBeNull();
    expect(secondOf("A/tile/1.1/condition:sound")).toBeNull();
  });
});
