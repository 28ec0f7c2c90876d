/** What reads symbols here: the browser's own detector where it works, else ZXing in a worker. */

/** Whatever finds symbols in pictures. */
export interface Decoder {
  /** The texts of all symbols in a frame. One frame at a time. */
  read(image: ImageData): Promise<string[]>;
  close(): void;
}

/** A symbol that says SEAMWALK, 21 rows of 21 modules: a detector that does not read it is of no use. */
const PROOF =
  "1fcb7f104e4117565d175c5d17535d1059411fd57f00130017c57c02112515ce9903a43314ea9b001fe41fcd6e1053ec175132175d30175aa01048311fd29c";
const PROOF_SIDE = 21;
const MODULE = 6;
const QUIET = 4;

interface NativeDetector {
  detect(image: ImageData): Promise<{ rawValue: string }[]>;
}
declare const BarcodeDetector: { new (options: { formats: string[] }): NativeDetector } | undefined;

/** The browser's own detector if it proves itself, else ours; throws where neither can be had. */
export async function makeDecoder(): Promise<Decoder> {
  return (await nativeDecoder()) ?? zxingDecoder();
}

async function nativeDecoder(): Promise<Decoder | null> {
  if (typeof BarcodeDetector === "undefined") return null;
  try {
    const detector = new BarcodeDetector({ formats: ["qr_code", "data_matrix", "code_128", "code_39"] });
    const read = async (image: ImageData) => (await detector.detect(image)).map(({ rawValue }) => rawValue);
    const [text] = await read(proof());
    return text === "SEAMWALK" ? { read, close: () => undefined } : null;
  } catch {
    return null;
  }
}

/** The built-in symbol as an image. */
export function proof(): ImageData {
  const side = (PROOF_SIDE + 2 * QUIET) * MODULE;
  const image = new ImageData(side, side);
  image.data.fill(255);
  for (let row = 0; row < PROOF_SIDE; row++) {
    const bits = Number.parseInt(PROOF.slice(row * 6, row * 6 + 6), 16);
    for (let column = 0; column < PROOF_SIDE; column++) {
      if ((bits >> (PROOF_SIDE - 1 - column)) & 1) darken(image, column + QUIET, row + QUIET);
    }
  }
  return image;
}

function darken(image: ImageData, column: number, row: number): void {
  for (let y = row * MODULE; y < (row + 1) * MODULE; y++) {
    for (let x = column * MODULE; x < (column + 1) * MODULE; x++) {
      image.data.fill(0, (y * image.width + x) * 4, (y * image.width + x) * 4 + 3);
    }
  }
}

function zxingDecoder(): Decoder {
  const worker = new Worker(SCAN_WORKER_URL);
  const waiting = new Map<number, { done: (texts: string[]) => void; failed: (error: Error) => void }>();
  let seq = 0;
  const failAll = (error: Error) => {
    for (const { failed } of waiting.values()) failed(error);
    waiting.clear();
  };
  worker.addEventListener("error", () => failAll(new Error("the reader of symbols cannot be loaded")));
  worker.addEventListener("message", ({ data }) => {
    const frame = waiting.get(data.seq);
    waiting.delete(data.seq);
    if (data.trouble) frame?.failed(new Error(data.trouble));
    else frame?.done(data.texts);
  });
  return {
    read(image) {
      seq += 1;
      return new Promise((done, failed) => {
        waiting.set(seq, { done, failed });
        worker.postMessage({ seq, image }, [image.data.buffer]);
      });
    },
    close: () => worker.terminate(),
  };
}
