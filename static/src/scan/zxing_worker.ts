/** Reads symbols in frames, off the page; loaded when somebody first scans. */

import { prepareZXingModule, type ReaderOptions, readBarcodesFromImageData } from "zxing-wasm/reader";

/** A picture to be read, by its number. */
export interface Frame {
  seq: number;
  image: ImageData;
}

/** The texts of all symbols in the picture of that number. */
export interface Seen {
  seq: number;
  texts: string[];
}

const OPTIONS: ReaderOptions = {
  formats: ["QRCode", "DataMatrix", "Code128", "Code39"],
  tryHarder: true,
  maxNumberOfSymbols: 16,
};
/** The compiler knows one kind of global scope; this file runs in a worker. */
const scope = self as unknown as DedicatedWorkerGlobalScope;

prepareZXingModule({ overrides: { locateFile: () => WASM_URL } });

scope.addEventListener("message", async ({ data }: MessageEvent<Frame>) => {
  const found = await readBarcodesFromImageData(data.image, OPTIONS).catch((error: unknown) => {
    scope.postMessage({ seq: data.seq, trouble: String(error) });
    return null;
  });
  if (found) scope.postMessage({ seq: data.seq, texts: found.map(({ text }) => text) } satisfies Seen);
});
