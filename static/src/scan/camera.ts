/** One camera stream: asked for once, from a tap; its torch, its lenses, and frames for the decoder. */

const LENS = "seamwalk-lens";
const MAX_SIDE = 800;

export class Camera {
  private stream: MediaStream | null = null;
  private readonly canvas = document.createElement("canvas");
  private lenses: string[] = [];

  constructor(private readonly video: HTMLVideoElement) {}

  /** Open the lens that was used last, else the rear one; throws as getUserMedia does. */
  async open(lens = localStorage.getItem(LENS)): Promise<void> {
    this.close();
    const size = { width: { ideal: 1280 }, height: { ideal: 720 } };
    const video = lens ? { deviceId: { ideal: lens }, ...size } : { facingMode: "environment", ...size };
    this.stream = await navigator.mediaDevices.getUserMedia({ video, audio: false });
    this.video.srcObject = this.stream;
    await this.video.play();
    const devices = await navigator.mediaDevices.enumerateDevices();
    this.lenses = devices.filter(({ kind }) => kind === "videoinput").map(({ deviceId }) => deviceId);
  }

  /** Whether pictures still come: a stream dies silently while the app is in the background. */
  get alive(): boolean {
    return this.track?.readyState === "live" && !this.track.muted;
  }

  get hasTorch(): boolean {
    const can = (this.track?.getCapabilities?.() ?? {}) as { torch?: boolean };
    return can.torch === true;
  }

  /** Some phones refuse; nothing depends on it. */
  async torch(on: boolean): Promise<void> {
    await this.track
      ?.applyConstraints({ advanced: [{ torch: on } as MediaTrackConstraintSet] })
      .catch(() => undefined);
  }

  get lensCount(): number {
    return this.lenses.length;
  }

  /** Change to the next lens and remember it: some can not focus near. */
  async nextLens(): Promise<void> {
    const here = this.track?.getSettings().deviceId ?? "";
    const next = this.lenses[(this.lenses.indexOf(here) + 1) % this.lenses.length];
    if (next === undefined) return;
    localStorage.setItem(LENS, next);
    await this.open(next);
  }

  /** The middle square of what is seen, at most 800 px a side; null while there is no picture. */
  frame(): ImageData | null {
    const { videoWidth, videoHeight } = this.video;
    const from = Math.min(videoWidth, videoHeight);
    if (from === 0 || this.video.readyState < HTMLMediaElement.HAVE_CURRENT_DATA) return null;
    const side = Math.min(from, MAX_SIDE);
    this.canvas.width = side;
    this.canvas.height = side;
    const context = this.canvas.getContext("2d", { willReadFrequently: true });
    const [x, y] = [(videoWidth - from) / 2, (videoHeight - from) / 2];
    context?.drawImage(this.video, x, y, from, from, 0, 0, side, side);
    return context?.getImageData(0, 0, side, side) ?? null;
  }

  close(): void {
    for (const track of this.stream?.getTracks() ?? []) track.stop();
    this.stream = null;
  }

  private get track(): MediaStreamTrack | undefined {
    return this.stream?.getVideoTracks()[0];
  }
}
