/** What a label stands for, from the stock list that the office gave this show's phones. */

import { type Code, codeIn, groupedCode } from "./codes";

/** The frozen file (server/seamwalk/store/stock.py). */
export interface StockFile {
  v: 1;
  items: [code: string, tileType: string | null, homeCase: string | null, batch: string | null, at: At][];
  labels: Record<string, string>;
  /** Labels that must not be used any more, and why. */
  revoked: Record<string, string>;
}

/** At this show, at another one, or at home. */
export type At = "here" | "away" | "home";

export interface Thing {
  code: string;
  tileType: string | null;
  homeCase: string | null;
  batch: string | null;
  at: At;
}

export type Found =
  | { is: "known"; code: Code; thing: Thing }
  | { is: "unknown"; code: Code }
  | { is: "revoked"; code: Code; reason: string }
  | { is: "foreign"; text: string };

const LONGEST_TAG = 200;
const TILE = "T";

export class Stock {
  private readonly things = new Map<string, Thing>();
  private readonly inCase = new Map<string, string[]>();
  private readonly labels: Map<string, string>;
  private readonly revoked: Map<string, string>;

  constructor(file: StockFile) {
    for (const [code, tileType, homeCase, batch, at] of file.items) {
      this.things.set(code, { code, tileType, homeCase, batch, at });
      if (homeCase !== null && code[2] === TILE)
        this.inCase.set(homeCase, [...(this.inCase.get(homeCase) ?? []), code]);
    }
    this.labels = new Map(Object.entries(file.labels));
    this.revoked = new Map(Object.entries(file.revoked));
  }

  /** What was scanned or typed; a later label leads to the thing's first one. */
  find(scanned: string): Found {
    const code = codeIn(scanned);
    if (code === null) return { is: "foreign", text: scanned.slice(0, LONGEST_TAG) };
    const reason = this.revoked.get(code.text);
    if (reason !== undefined) return { is: "revoked", code, reason };
    const thing = this.things.get(this.labels.get(code.text) ?? code.text);
    return thing ? { is: "known", code, thing } : { is: "unknown", code };
  }

  all(): Thing[] {
    return [...this.things.values()];
  }

  /** Codes of the tiles whose home is a case. */
  tilesOf(homeCase: string): string[] {
    return this.inCase.get(homeCase) ?? [];
  }

  /** A thing's code as it is printed; a foreign tag as it is. */
  groupedOf(name: string): string {
    return this.things.has(name) ? groupedCode(name) : name;
  }
}
