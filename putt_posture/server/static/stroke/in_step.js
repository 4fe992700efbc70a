/* Two overlay clips of one view, before and after, played in step: what both show happens at the same time. */

import { nearest } from "./bar.js";

const BY = ["impact", "top", "start", "finish"];
const FRAME_S = 1 / 30;

for (const root of document.querySelectorAll("[data-in-step]")) {
  const texts = JSON.parse(root.querySelector("script").textContent);
  root.querySelector("[data-load]").addEventListener("click", (event) => load(root, texts, event.currentTarget));
}

async function load(root, texts, button) {
  const says = root.querySelector("[role=status]");
  button.disabled = true;
  says.textContent = texts.loading;
  try {
    const sides = await Promise.all([root.dataset.before, root.dataset.after].map(read));
    const views = Object.keys(sides[0].views).filter((view) => sides.every((side) => shown(side, view)?.clip));
    says.textContent = views.length ? "" : texts.none;
    button.hidden = Boolean(views.length);
    const boxes = views.map((view) => new InStep(sides.map((side) => shown(side, view)), sides[0].views[view].title, texts).box);
    root.querySelector("[data-clips]").replaceChildren(...boxes);
  } catch (error) {
    says.textContent = error.message || texts.lost;
    button.disabled = false;
  }
}

async function read(address) {
  const answer = await fetch(`${address}/found`, { headers: { accept: "application/json" } });
  const said = await answer.json();
  if (!answer.ok) throw new Error(said.says);
  return said;
}

function shown(side, view) {
  const found = side.views[view];
  return found?.strokes[found.shown] ?? found?.strokes[0];
}

class InStep {
  /** `strokes` are before and after, each {clip: {url, start_s, end_s, slower}, events}. */
  constructor(strokes, title, texts) {
    this.texts = texts;
    const by = BY.find((name) => strokes.every((each) => each.events[name].time_s !== null));
    const lengths = strokes.map(({ clip }) => (clip.end_s - clip.start_s) / clip.slower);
    const frame = ({ times_s: times, events }) => times[nearest(times, events[by].time_s)];
    const at = strokes.map((each) => (by ? (frame(each) - each.clip.start_s) / each.clip.slower : 0));
    this.begins = at.map((each) => Math.max(...at) - each);
    this.lengths = lengths;
    this.ends = Math.max(...lengths.map((each, side) => each + this.begins[side]));
    this.at = Math.max(...at);
    this.rate = 1;
    this.playing = false;
    this.box = make("section", { className: "step" });
    this.box.append(make("h3", { textContent: title }));
    const both = make("div", { className: "both" });
    this.videos = strokes.map(({ clip }, side) => {
      const video = make("video", { src: clip.url, muted: true, playsInline: true, preload: "auto" });
      video.setAttribute("aria-label", `${title}, ${[texts.before, texts.after][side]}`);
      video.addEventListener("loadeddata", () => this.place());
      const figure = make("figure", {});
      figure.append(make("figcaption", { textContent: [texts.before, texts.after][side] }), video);
      both.append(figure);
      return video;
    });
    this.button = make("button", { type: "button", textContent: texts.play });
    this.button.addEventListener("click", () => this.toggle());
    const rates = [[texts.half, 1], [texts.full, 2]].map(([text, rate]) => {
      const button = make("button", { type: "button", textContent: text });
      button.addEventListener("click", () => {
        this.rate = rate;
        for (const each of rates) each.setAttribute("aria-pressed", String(each === button));
        if (this.playing) this.start();
      });
      button.setAttribute("aria-pressed", String(rate === this.rate));
      return button;
    });
    this.bar = make("input", { type: "range", min: "0", max: String(this.ends), step: String(FRAME_S), value: String(this.at) });
    this.bar.setAttribute("aria-label", texts.scrub);
    this.bar.addEventListener("input", () => this.go(Number(this.bar.value)));
    const tools = make("div", { className: "tools" });
    tools.append(this.button, ...rates);
    this.box.append(both, tools, this.bar);
    this.tell();
  }

  go(time) {
    this.pause();
    this.at = time;
    this.place();
    this.tell();
  }

  /** Take both clips to the time that is shown; one that has ended, or not begun, holds its end. */
  place() {
    this.videos.forEach((video, side) => {
      const own = Math.min(Math.max(this.at - this.begins[side] + 0.004, 0), this.lengths[side]);
      if (video.readyState >= 1 && Math.abs(video.currentTime - own) > 0.01) video.currentTime = own;
    });
  }

  toggle() {
    if (this.playing) {
      this.pause();
      return;
    }
    if (this.at >= this.ends - FRAME_S) this.at = 0;
    this.place();
    this.start();
  }

  start() {
    this.playing = true;
    this.since = performance.now();
    this.from = this.at;
    for (const video of this.videos) video.playbackRate = this.rate;
    this.tell();
    const follow = () => {
      if (!this.playing) return;
      this.at = Math.min(this.from + ((performance.now() - this.since) / 1000) * this.rate, this.ends);
      this.videos.forEach((video, side) => {
        const own = this.at - this.begins[side];
        const runs = own >= 0 && own < this.lengths[side];
        if (runs && video.paused && !video.ended) video.play().catch(() => this.pause());
        if (!runs && !video.paused) video.pause();
        // A clip that has fallen behind is taken to its place.
        if (runs && !video.seeking && Math.abs(video.currentTime - own) > 0.12 * this.rate) video.currentTime = own;
      });
      this.tell();
      if (this.at >= this.ends) this.pause();
      else requestAnimationFrame(follow);
    };
    requestAnimationFrame(follow);
  }

  pause() {
    this.playing = false;
    for (const video of this.videos) video.pause();
    this.tell();
  }

  tell() {
    this.bar.value = String(this.at);
    this.bar.setAttribute("aria-valuetext", this.texts.at.replace("{time}", this.at.toFixed(2)));
    this.button.textContent = this.playing ? this.texts.pause : this.texts.play;
    this.box.dataset.at = this.at.toFixed(3);
  }
}

function make(tag, fields) {
  return Object.assign(document.createElement(tag), fields);
}
