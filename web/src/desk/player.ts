// Plays the walk from any word. One <audio>; the cursor is on the visit's clock also where no sound was kept.

import type { Desk } from "./desk";

export class Player {
  readonly audio = new Audio();
  source = "";
  /** Seconds in its walk. */
  at = 0;
  playing = false;
  private sound = "";

  constructor(private readonly changed: () => void) {
    this.audio.preload = "none";
    this.audio.addEventListener("timeupdate", () => { if (this.playing) { this.at = this.audio.currentTime; this.changed(); } });
    for (const kind of ["play", "playing", "pause", "ended", "error"]) {
      this.audio.addEventListener(kind, () => { this.playing = !this.audio.paused && !this.audio.ended && !this.audio.error; this.changed(); });
    }
  }

  seek(desk: Desk, source: string, at: number, play: boolean): void {
    [this.source, this.at] = [source, at];
    const sound = desk.walks.find((w) => w.source === source)?.sound ?? "";
    if (!sound) {
      this.audio.pause();
      if (play) desk.say("No sound was kept for this walk; the words are all there is.");
      else this.changed();
      return;
    }
    if (sound !== this.sound) {
      this.sound = sound;
      this.audio.src = `/api/1/visits/${desk.visit}/files/${sound.split("/").map(encodeURIComponent).join("/")}`;
    }
    if (play || this.playing) {
      this.audio.currentTime = at;
      void this.audio.play().catch(() => desk.say("The browser does not play this sound."));
    }
    this.changed();
  }

  toggle(desk: Desk): void {
    if (this.playing) this.audio.pause();
    else {
      const first = desk.walks[0];
      if (first) this.seek(desk, this.source || first.source, this.at, true);
    }
  }

  /** Where the cursor stands on the visit's clock. */
  now(desk: Desk): number { return this.source ? desk.offset(this.source) + this.at : 0; }
}
