/** Catalogues: a second language is only data. */

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { at } from "../../static/src/book/must";
import { LANGUAGES, translator } from "../../static/src/texts";
import de from "../../static/src/texts/de.json";
import en from "../../static/src/texts/en.json";

const SRC = `${import.meta.dirname}/../../static/src`;
const holes = (text: string) => (text.match(/\{\w+\}/g) ?? []).sort();

function sources(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((item) =>
    item.isDirectory()
      ? sources(join(folder, item.name))
      : /\.tsx?$/.test(item.name)
        ? [join(folder, item.name)]
        : [],
  );
}

describe("the catalogues", () => {
  it("have the same texts in every language, with the same holes", () => {
    const files = readdirSync(`${SRC}/texts`).filter((name) => name.endsWith(".json"));
    expect(Object.keys(LANGUAGES).sort()).toEqual(files.map((name) => name.replace(".json", "")).sort());
    for (const file of files) {
      const other: Record<string, string> = JSON.parse(readFileSync(`${SRC}/texts/${file}`, "utf-8"));
      expect(Object.keys(other).sort(), file).toEqual(Object.keys(en).sort());
      for (const [key, text] of Object.entries(en))
        expect(new Set(holes(other[key] ?? "")), `${file} ${key}`).toEqual(new Set(holes(text)));
    }
  });

  it("say one thing in another form than many", () => {
    const t = translator("en");
    expect(t("strike.tiles", { n: 1 })).toBe("1 tile");
    expect(t("strike.tiles", { n: 2 })).toBe("2 tiles");
    expect(t("strike.tiles", { n: "1" })).toBe("1 tile");
    expect(t("app.back")).not.toContain("|");
  });

  it("are asked only for texts that are there", () => {
    const asked = sources(SRC).flatMap((path) =>
      [...readFileSync(path, "utf-8").matchAll(/\bt\("([a-z_.]+)"/g)].map((found) => at(found, 1)),
    );
    expect(asked.length).toBeGreaterThan(100);
    expect(asked.filter((key) => !(key in en))).toEqual([]);
  });

  it("have words for whatever a phone writes and lists as unsent", () => {
    const written = ["ok", "fault", "not_reached", "withdrawn", "swapped", "tile_bound"];
    written.push(
      "procedure_walked",
      "work_shared",
      "signed_off",
      "item_seen",
      "case_closed",
      "parts_counted",
    );
    written.push("stop_released", "circuits_switched", "strike_opened", "strike_closed", "pace_answered");
    written.push("item_looked_at", "item_benched", "hire_handed_over", "countersigned");
    expect(written.filter((kind) => !(`entry.${kind}` in en))).toEqual([]);
  });

  it("speak German, and mark what is in no catalogue", () => {
    expect(translator("de")("walk.strike")).toBe("Abbau");
    expect(translator("pseudo")("walk.ok_n", { n: 3 })).toBe("⟦All 3 OK⟧");
    // @ts-expect-error: the compiler knows all keys.
    expect(() => translator("en")("no.such")).toThrow("no text for no.such");
  });

  it("say of nothing that it is free of danger", () => {
    for (const text of [...Object.values(en), ...Object.values(de)]) {
      expect(text.toLowerCase()).not.toMatch(/\b(is|are) safe\b|\b(ist|sind) sicher\b/);
    }
  });
});
