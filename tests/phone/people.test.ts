/** Who somebody is in words, also before their name was read. */

import { beforeEach, expect, it, vi } from "vitest";
import { nameOf, whoOf } from "../../static/src/screens/people";
import { Show } from "../../static/src/walk/show/show";
import { keptEntry, ME } from "./entries";

/** Words by blob; "" while they are on their way. */
const { names } = vi.hoisted(() => ({ names: new Map<string, string>() }));

vi.mock("../../static/src/ui/app", () => ({
  names,
  textOf: (_: string, blob: string) => names.get(blob) ?? "",
}));

beforeEach(() => names.clear());

function admitted(device: string, person: string, name_blob: string) {
  return keptEntry("device_admitted", { device, jwk: {}, person, name_blob, role: "crew" });
}

it("is a name, a sign that it is being read, or what an id begins with", () => {
  const show = new Show(ME);
  show.add([admitted(ME.device, "p-me", "mine"), admitted("device-of-mika", "person-mika", "hers")]);
  const tap = keptEntry("found", { plan: "p", checks: [] }, { device: "device-of-mika" });
  expect([nameOf(show, "person-mika"), whoOf(show, tap)]).toEqual(["person", "device-o"]);
  names.set("hers", "");
  expect([nameOf(show, "person-mika"), whoOf(show, tap)]).toEqual(["…", "…"]);
  names.set("hers", "Mika");
  expect([nameOf(show, "person-mika"), whoOf(show, tap)]).toEqual(["Mika", "Mika"]);
});

it("is the name that this phone joined with, for its own", () => {
  const show = new Show(ME);
  show.add([admitted(ME.device, "p-me", "mine")]);
  const tap = keptEntry("found", { plan: "p", checks: [] });
  expect([nameOf(show, "p-me"), whoOf(show, tap)]).toEqual([ME.name, ME.name]);
});
