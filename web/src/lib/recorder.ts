// Hold to talk. The raw sound is kept first, in pieces of a second; it is heard later, by the server.

import { keepMedia } from "./db";
import { sha256 } from "./journal";
import type { Journal } from "./journal";

const PIECE_MS = 1000, WARM_MS = 45_000;
const TYPES = ["audio/webm;codecs=opus", "audio/mp4"];

export class Recorder {
  private stream: MediaStream | undefined;
  private running: MediaRecorder | undefined;
  private warm: ReturnType<typeof setTimeout> | undefined;
  private work: Promise<void> = Promise.resolve();
  private asked = 0;

  constructor(private readonly journal: Journal, private takes: number, private readonly trouble: (says: string) => void) {}

  /** Begins a take. Resolves when the microphone runs, or false where it was let go before. */
  async start(): Promise<boolean> {
    const turn = ++this.asked;
    clearTimeout(this.warm);
    try {
      if (!this.stream?.active) {
        this.stream = await navigator.mediaDevices.getUserMedia({ audio: { channelCount: 1, echoCancellation: false, noiseSuppression: false, autoGainControl: true } });
      }
    } catch {
      this.trouble("The phone gives no microphone. Allow it for this page in the phone's settings, or type the remark.");
      return false;
    }
    if (turn !== this.asked) { this.cool(); return false; }
    const type = TYPES.find((t) => MediaRecorder.isTypeSupported(t));
    const recorder = new MediaRecorder(this.stream, { ...(type ? { mimeType: type } : {}), audioBitsPerSecond: 32_000 });
    const take = `${this.journal.device}-${++this.takes}`;
    let piece = 0, began = new Date(), since = performance.now();
    const zero = since;
    recorder.ondataavailable = (heard) => {
      const [number, at, from, last] = [piece++, began, since, recorder.state === "inactive"];
      [began, since] = [new Date(), performance.now()];
      const seconds = (since - from) / 1000, start_s = (from - zero) / 1000;
      this.work = this.work.then(() => this.keep(heard.data, take, number, at, start_s, seconds, last)).catch((err: unknown) => {
        this.trouble(`A second of sound was not kept: ${err instanceof Error ? err.message : "storage"}. Free some space on the phone.`);
      });
    };
    this.running = recorder;
    recorder.start(PIECE_MS);
    return true;
  }

  private async keep(data: Blob, take: string, piece: number, at: Date, start_s: number, seconds: number, last: boolean): Promise<void> {
    const bytes = await data.arrayBuffer();
    if (!bytes.byteLength && !last) return;
    const sha = await sha256(bytes), type = (data.type || "audio/webm").split(";")[0] ?? "audio/webm";
    if (bytes.byteLength) await keepMedia({ sha, visit: this.journal.visit, type, bytes, there: false });
    else return;
    await this.journal.add("audio", {
      take, piece, media: sha, bytes: bytes.byteLength, type, start_s: Number(start_s.toFixed(3)), seconds: Number(seconds.toFixed(3)), ...(last ? { last: true } : {}),
    }, at);
  }

  /** Ends the take. Resolves when its last piece is kept. */
  async stop(): Promise<void> {
    this.asked += 1;
    const recorder = this.running;
    this.running = undefined;
    if (!recorder || recorder.state === "inactive") return;
    await new Promise<void>((done) => { recorder.onstop = () => done(); recorder.stop(); });
    await this.work;
    this.cool();
  }

  /** The microphone stays open a little, so that the next word is not lost; then it is let go. */
  private cool(): void {
    clearTimeout(this.warm);
    this.warm = setTimeout(() => { this.stream?.getTracks().forEach((t) => t.stop()); this.stream = undefined; }, WARM_MS);
  }
}
