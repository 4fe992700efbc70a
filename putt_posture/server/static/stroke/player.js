/* The overlay clip of a stroke: played at half or full speed, and taken to any time of the filmed clip. */

import { nearest } from "./bar.js";

export class Player {
  constructor(video, buttons, texts, tell) {
    Object.assign(this, { video, buttons, texts, tell });
    this.clip = null;
    this.wanted = null; // a time to go to once the last one is reached
    this.at = 0;
    buttons.play.addEventListener("click", () => this.toggle());
    buttons.half.addEventListener("click", () => this.setRate(1));
    buttons.full.addEventListener("click", () => this.setRate(2));
    for (const event of ["play", "pause", "ended"]) video.addEventListener(event, () => this.tellPlaying());
    video.addEventListener("seeked", () => this.go());
    video.addEventListener("loadeddata", () => this.go());
    const follow = () => {
      if (!video.paused && this.clip) {
        this.at = this.clip.start_s + video.currentTime * this.clip.slower;
        tell(this.at);
      }
      requestAnimationFrame(follow);
    };
    requestAnimationFrame(follow);
  }

  /** Show a clip: {url, start_s, slower}; the time that was shown stays where the clip is the same. */
  show(clip, times = [], first = 0) {
    const same = clip && this.clip && clip.url.split("?")[0] === this.clip.url.split("?")[0];
    const changed = clip?.url !== this.clip?.url;
    this.clip = clip;
    this.times = times;
    this.video.parentElement.hidden = !clip;
    if (!same) this.at = this.frame(first);
    if (!clip) return;
    if (changed) {
      this.video.parentElement.style.aspectRatio = `${clip.size[0]} / ${clip.size[1]}`;
      this.video.src = clip.url;
      this.wanted = this.at;
    }
    this.tellPlaying();
  }

  time() {
    return this.at;
  }

  /** The time of the frame that is nearest to a time: an event may lie between two. */
  frame(time) {
    return this.times.length ? this.times[nearest(this.times, time)] : time;
  }

  seek(time) {
    this.at = this.frame(time);
    this.tell(this.at);
    if (!this.clip) return;
    this.video.pause();
    this.wanted = this.at;
    this.go();
  }

  go() {
    if (this.wanted === null || this.video.seeking || this.video.readyState < 2) return;
    const { start_s: start, slower } = this.clip;
    const shown = (this.wanted - start) / slower + 0.004; // within the frame, not on its edge
    this.wanted = null;
    this.video.currentTime = Math.max(Math.min(shown, (this.video.duration || Infinity) - 0.001), 0);
  }

  toggle() {
    if (!this.video.paused) {
      this.video.pause();
      return;
    }
    if (this.video.ended) this.video.currentTime = 0;
    this.video.play();
  }

  setRate(rate) {
    this.video.playbackRate = this.video.defaultPlaybackRate = rate;
    this.buttons.half.setAttribute("aria-pressed", String(rate === 1));
    this.buttons.full.setAttribute("aria-pressed", String(rate === 2));
  }

  tellPlaying() {
    this.buttons.play.textContent = this.video.paused || this.video.ended ? this.texts.play : this.texts.pause;
  }
}
