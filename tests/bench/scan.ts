/** A scan on the phone: from a 720p frame to its text, and what the stock list says of it, as the stock grows. */

import { readFileSync } from "node:fs";
import {
  prepareZXingModule,
  readBarcodesFromImageData,
} from "../../static/node_modules/zxing-wasm/dist/es/reader/index.js";
import type { KeptEntry } from "../../static/src/book/entry";
import { at } from "../../static/src/book/must";
import { checkCharacter } from "../../static/src/scan/codes";
import { Stock, type StockFile } from "../../static/src/scan/stock";
import { Cases } from "../../static/src/walk/stock/cases";
import { keptEntry } from "../phone/entries";

const [wasm = "", picture = "", size = ""] = process.argv.slice(2);
const TINY = size === "--tiny";
const ROUNDS = TINY ? 1 : 15;
const THINGS = TINY ? [500] : [500, 5_000, 50_000];

function median(values: number[]): number {
  return at(
    values.sort((a, b) => a - b),
    Math.floor(values.length / 2),
  );
}

function code(letter: string, serial: number): string {
  const body = `HQ${letter}${String(serial).padStart(5, "0")}`;
  return body + checkCharacter(body);
}

function fileOf(things: number): StockFile {
  const items = Array.from({ length: things }, (_, i): StockFile["items"][number] => [
    code("T", i),
    "plover_500",
    code("C", Math.floor(i / 8)),
    "A",
    "here",
    code("C", Math.floor(i / 8)),
    "in_stock",
    "",
  ]);
  return { v: 2, items, labels: {}, revoked: {} };
}

async function decode(): Promise<void> {
  await prepareZXingModule({
    overrides: { wasmBinary: new Uint8Array(readFileSync(wasm)).buffer },
    fireImmediately: true,
  });
  const grey = readFileSync(picture);
  const side = Math.sqrt(grey.length);
  const data = new Uint8ClampedArray(grey.length * 4);
  for (let i = 0; i < grey.length; i++)
    data.fill(at(grey, i), i * 4, i * 4 + 3).fill(255, i * 4 + 3, i * 4 + 4);
  const image: ImageData = { data, width: side, height: side, colorSpace: "srgb" };
  const wide = { formats: ["QRCode", "DataMatrix", "Code128", "Code39"], tryHarder: true } as const;
  for (const [name, options] of [
    ["ours, all kinds of symbols", wide],
    ["QR alone, no second look", { formats: ["QRCode"], tryHarder: false }],
  ] as const) {
    const times: number[] = [];
    for (let i = 0; i < ROUNDS; i++) {
      const started = performance.now();
      const found = await readBarcodesFromImageData(image, { ...options, formats: [...options.formats] });
      times.push(performance.now() - started);
      if (found.length !== 1) throw new Error("the label was not read");
    }
    console.log(`${name}: ${median(times).toFixed(1)} ms from a frame of ${side} x ${side} to its text`);
  }
}

function resolve(): void {
  for (const things of THINGS) {
    const text = JSON.stringify(fileOf(things));
    const parse = median(Array.from({ length: ROUNDS }, () => timed(() => JSON.parse(text))));
    const build = median(Array.from({ length: ROUNDS }, () => timed(() => new Stock(JSON.parse(text)))));
    const stock = new Stock(JSON.parse(text));
    const scanned = `HTTPS://WALLS.EXAMPLE.TEST/L/${code("T", things - 1)}`;
    const find = timed(() => {
      for (let i = 0; i < 1000; i++) stock.find(scanned);
    });
    const ratio = (build / parse).toFixed(2);
    console.log(
      `${things} things: a scan resolves in ${find.toFixed(2)} us; the list opens in ${build.toFixed(0)} ms, x ${ratio} of JSON.parse`,
    );
  }
}

/** A tile scanned into a case, from its sighting to what the case lacks, in a book of four sightings a thing. */
function inCase(): void {
  for (const things of THINGS) {
    const stock = new Stock(fileOf(things));
    const cases = new Cases();
    let n = 0;
    const seen = (item: number, stage: string): KeptEntry => {
      n += 1;
      const body = { items: [code("T", item)], case: code("C", Math.floor(item / 8)), stage, replaces: [] };
      return keptEntry("item_seen", body, { index: n });
    };
    for (const stage of ["prep", "load_in", "load_out", "return"]) {
      for (let item = 0; item < things; item++) cases.add(seen(item, stage));
    }
    const box = code("C", 1);
    const first = timed(() => cases.state("return", box, stock.homeOf(box)));
    const scan = median(
      Array.from({ length: ROUNDS }, (_, i) => {
        const entry = seen(8 + (i % 8), "return");
        return timed(() => {
          cases.add(entry);
          cases.state("return", box, stock.homeOf(box));
        });
      }),
    );
    const least = median(Array.from({ length: ROUNDS }, () => timed(() => new Set(stock.homeOf(box)))));
    console.log(
      `${things} things, ${n} entries: a scan into a case ${scan.toFixed(3)} ms, x ${(scan / least).toFixed(0)} of a set of its tiles; added up once in ${first.toFixed(0)} ms`,
    );
  }
}

function timed(work: () => unknown): number {
  const started = performance.now();
  work();
  return performance.now() - started;
}

resolve();
inCase();
void decode();
