/** One camera stream: asked for once, from a tap; its torch, its lenses, and frames for the decoder. */

const LENS = "seamwalk-lens";
const MAX_SIDE = 800;

/** Torches are in no type of the DOM's: not every browser has them. */
interface Light {
  torch?: boolean;
}

/** The stream that a video element shows. */
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
    const can: (MediaTrackCapabilities & Light) | undefined = this.track?.getCapabilities?.();
    return can?.torch === true;
  }

  /** Some phones refuse; nothing depends on it. */
  async torch(on: boolean): Promise<void> {
    const light: MediaTrackConstraintSet & Light = { torch: on };
    await this.track?.applyConstraints({ advanced: [light] }).catch(() => undefined);
  }

  get lensCount(): number {
    return this.lenses.length;
  }

  /** Change to the next lens and remember it: some cannot focus near. */
  async nextLens(): Promise<void> {
    const here = this.track?.getSettings().deviceId ?? "";
    const next = this.lenses[(this.lenses.indexOf(here) + 1) % this.lenses.length];
    if (next === undefined) return;
    localStorage.setItem(LENS, next);
    await this.open(next);
  }

  /** What the finder shows of the picture, at most 800 px on its longer side; null while there is none. */
  frame(): ImageData | null {
    const { videoWidth, videoHeight, clientWidth, clientHeight } = this.video;
    const isThere = videoWidth > 0 && clientHeight > 0;
    if (!isThere || this.video.readyState < HTMLMediaElement.HAVE_CURRENT_DATA) return null;
    const ratio = clientWidth / clientHeight;
    const w = Math.min(videoWidth, videoHeight * ratio);
    const h = Math.min(videoHeight, videoWidth / ratio);
    const scale = Math.min(1, MAX_SIDE / Math.max(w, h));
    const [width, height] = [Math.round(w * scale), Math.round(h * scale)];
    this.canvas.width = width;
    this.canvas.height = height;
    const context = this.canvas.getContext("2d", { willReadFrequently: true });
    context?.drawImage(this.video, (videoWidth - w) / 2, (videoHeight - h) / 2, w, h, 0, 0, width, height);
    return context?.getImageData(0, 0, width, height) ?? null;
  }

  close(): void {
    for (const track of this.stream?.getTracks() ?? []) track.stop();
    this.stream = null;
  }

  private get track(): MediaStreamTrack | undefined {
    return this.stream?.getVideoTracks()[0];
  }
}
