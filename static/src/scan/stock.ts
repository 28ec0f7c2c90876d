/** What a label stands for, from the stock list that the office gave this show's phones. */

import type { StockFile, StockItem } from "../walk/files";
import type { Status } from "../walk/stock/bench";
import { type Code, codeIn, groupedCode } from "./codes";

export type { StockFile, StockItem };

/** At this show, at another one, or at home. */
export type At = StockItem[4];

/** One thing of the stock, as its list has it. */
export interface Thing {
  code: string;
  tileType: string | null;
  homeCase: string | null;
  batch: string | null;
  at: At;
  /** The case it lies in now. */
  inCase: string | null;
  /** How it stands with the bench, and who worked on it there last. */
  status: Status;
  workedBy: string;
}

/**
 * What a scan stands for: a thing; a code of ours that is on no list, or that is used no more; or a tag that is not
 * ours.
 */
export type Found =
  | { is: "known"; code: Code; thing: Thing }
  | { is: "unknown"; code: Code }
  | { is: "revoked"; code: Code; reason: string }
  | { is: "foreign"; text: string };

const LONGEST_TAG = 200;
const CASE = "C";
const TILE = "T";

/** A stock list, to be asked by code. */
export class Stock {
  private readonly things = new Map<string, Thing>();
  private readonly homes = new Map<string, string[]>();
  private readonly insides = new Map<string, string[]>();
  private readonly labels: Map<string, string>;
  private readonly revoked: Map<string, string>;

  constructor(file: StockFile) {
    for (const [code, tileType, homeCase, batch, at, where, status, workedBy] of file.items) {
      const inCase = where === undefined ? homeCase : where;
      const bench = { status: status ?? "in_stock", workedBy: workedBy ?? "" };
      this.things.set(code, { code, tileType, homeCase, batch, at, inCase, ...bench });
      put(this.homes, homeCase, code);
      put(this.insides, inCase, code);
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

  thing(code: string): Thing | undefined {
    return this.things.get(code);
  }

  cases(): string[] {
    return [...this.things.keys()].filter((code) => code[2] === CASE);
  }

  /** Codes of the things whose home is a case. */
  homeOf(box: string): string[] {
    return this.homes.get(box) ?? [];
  }

  /** Codes of the tiles whose home is a case. */
  tilesOf(box: string): string[] {
    return this.homeOf(box).filter((code) => code[2] === TILE);
  }

  /** Codes of the things that lie in a case, as this list has it. */
  inside(box: string): string[] {
    return this.insides.get(box) ?? [];
  }

  /** The tile type that most tiles in a case have; the case's own where it is empty. */
  typeOf(box: string): string {
    return this.most(box, ({ tileType }) => tileType) || (this.things.get(box)?.tileType ?? "");
  }

  /** The batch that most tiles in a case have, "" for none. */
  batchOf(box: string): string {
    return this.most(box, ({ batch }) => batch);
  }

  private most(box: string, of: (thing: Thing) => string | null): string {
    const counts = new Map<string, number>();
    for (const code of this.inside(box)) {
      const thing = this.things.get(code);
      if (thing === undefined || code[2] !== TILE) continue;
      const name = of(thing) ?? "";
      counts.set(name, (counts.get(name) ?? 0) + 1);
    }
    return [...counts].sort(([a, n], [b, m]) => m - n || (a < b ? -1 : 1))[0]?.[0] ?? "";
  }

  /** A thing's code as it is printed; a foreign tag is returned unchanged. */
  groupedOf(name: string): string {
    return this.things.has(name) ? groupedCode(name) : name;
  }
}

function put(groups: Map<string, string[]>, key: string | null, code: string): void {
  if (key === null) return;
  const group = groups.get(key);
  if (group) group.push(code);
  else groups.set(key, [code]);
}
