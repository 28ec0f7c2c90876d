/** Frames go to the decoder, one in flight; a picture is reported when something new has come into it. */

import { Camera } from "./camera";
import { type Decoder, makeDecoder } from "./decoder";

const AGAIN_MS = 2_500;
const PAUSE_MS = 60;

/** A camera that reports the texts of all symbols in the picture whenever a new one has come into it. */
export class Scanner {
  private readonly camera: Camera;
  private decoder: Decoder | null = null;
  private running = false;
  private readonly seen = new Map<string, number>();

  constructor(
    video: HTMLVideoElement,
    private readonly told: (texts: string[]) => void,
    private readonly failed: () => void,
  ) {
    this.camera = new Camera(video);
  }

  /** Open camera and decoder, then go on until `stop`; throws when either cannot be had. */
  async start(): Promise<void> {
    this.running = true;
    await this.camera.open();
    this.decoder = await makeDecoder();
    for (const event of ["focus", "pageshow"]) addEventListener(event, this.wake);
    void this.run(this.decoder);
  }

  stop(): void {
    this.running = false;
    for (const event of ["focus", "pageshow"]) removeEventListener(event, this.wake);
    this.camera.close();
    this.decoder?.close();
  }

  get hasTorch(): boolean {
    return this.camera.hasTorch;
  }

  get lensCount(): number {
    return this.camera.lensCount;
  }

  torch(on: boolean): Promise<void> {
    return this.camera.torch(on);
  }

  nextLens(): Promise<void> {
    return this.camera.nextLens();
  }

  private readonly wake = () => {
    if (this.running && !this.camera.alive) this.camera.open().catch(() => undefined);
  };

  private async run(decoder: Decoder): Promise<void> {
    while (this.running) {
      const image = this.camera.frame();
      const texts = image ? await decoder.read(image).catch(() => null) : [];
      if (texts === null) {
        if (this.running) this.failed();
        return;
      }
      const fresh = texts.filter((text) => this.isFresh(text));
      if (this.running && fresh.length > 0) this.told([...new Set(texts)]);
      await new Promise((next) => setTimeout(next, PAUSE_MS));
    }
  }

  private isFresh(text: string): boolean {
    const now = performance.now();
    const last = this.seen.get(text) ?? Number.NEGATIVE_INFINITY;
    this.seen.set(text, now);
    return now - last > AGAIN_MS;
  }
}
