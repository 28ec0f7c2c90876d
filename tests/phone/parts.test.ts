import { describe, expect, it } from "vitest";
import { checksElsewhere, isElsewhere } from "../../static/src/walk/checks/checks";
import { faultyAt, isLabelled, tilesAt, whereOf } from "../../static/src/walk/checks/parts";
import { checkOf, tileAt, wallFile } from "./walls";

const tiles = ["1.1", "2.1", "3.1"];
const circuit = checkOf("A/circuit/C1/circuit:in_order", { tiles: ["1.1", "2.1"] });
const pictures = tiles.map((tile) => checkOf(`A/tile/${tile}/picture:clean`, { tiles: [tile] }));
const kind = { procedure: "x", structural: false };
const file = wallFile({
  v: 2,
  tiles: tiles.map((id) => tileAt(id)),
  checks: [circuit, ...pictures, checkOf("A/support/3/support:in"), checkOf("A/support/3/ballast:in")],
  kinds: { circuit: { ...kind, elsewhere: { dark_tile: "picture" } }, picture: kind },
  touches: {
    module: { "1.1": [1] },
    power_link: { "1.1": [0, 1] },
    outlet: { "circuit/C1": [0, 1, 2] },
    ballast: { "support/3": [4, 5] },
  },
});

describe("a part that is changed", () => {
  it("sits at its tile, at the circuit that feeds it, or at its column's support", () => {
    expect(whereOf(file, "module", "1.1")).toBe("1.1");
    expect(whereOf(file, "outlet", "2.1")).toBe("circuit/C1");
    expect(whereOf(file, "ballast", "3.1")).toBe("support/3");
    expect(tilesAt(file, "circuit/C1")).toEqual(["1.1", "2.1"]);
  });

  it("is not offered where the wall has none", () => {
    expect(whereOf(file, "outlet", "3.1")).toBeNull();
    expect(whereOf(file, "ballast", "1.1")).toBeNull();
    expect(whereOf(file, "data_link", "1.1")).toBeNull();
  });

  it("has its fault at what the change touches", () => {
    expect(faultyAt(file, "module", "1.1")).toEqual(pictures[0]);
    expect(faultyAt(file, "outlet", "circuit/C1")).toEqual(circuit);
    expect(faultyAt(file, "ballast", "support/3")?.kind).toBe("ballast");
  });

  it("has a label or none", () => {
    expect([isLabelled("module"), isLabelled("power_link"), isLabelled("ballast")]).toEqual([
      true,
      false,
      false,
    ]);
  });
});

describe("a tile that stays dark", () => {
  it("is a fault of its picture, and none of the circuit that feeds it", () => {
    expect(isElsewhere(file, circuit, "dark_tile")).toBe(true);
    expect(isElsewhere(file, circuit, "breaker_fell")).toBe(false);
    expect(checksElsewhere(file, circuit, "dark_tile", ["2.1"])).toEqual([pictures[1]]);
    expect(checksElsewhere(file, circuit, "dark_tile", [])).toEqual([]);
  });
});
