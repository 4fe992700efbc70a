/* The strip of frames from which another can be chosen to stand for the lesson. */

export class Strip {
  /** `choose(view, time_s)` is called for a frame; null stands for the frame as found. */
  constructor(part, list, address, texts, choose) {
    Object.assign(this, { part, list, address, texts, choose });
    this.frames = {};
  }

  /** Show the frames of a view; `current` is the clip time of the frame that is shown, `still` that of the lesson. */
  async show(view, current) {
    this.view = view;
    this.frames[view] ??= await fetch(`${this.address}/strip/${view}`, { headers: { accept: "application/json" } }).then(
      (answer) => (answer.ok ? answer.json() : []),
      () => [],
    );
    if (this.view !== view) return; // another view was chosen meanwhile
    const frames = this.frames[view];
    this.part.hidden = !frames.length;
    const nearest = frames.reduce((best, each) => (away(each, current) < away(best, current) ? each : best), frames[0]);
    this.list.replaceChildren(...frames.map((frame) => this.entry(view, frame, frame === nearest)));
  }

  entry(view, frame, isCurrent) {
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.time = frame.time_s;
    if (frame.setup) button.className = "setup";
    button.setAttribute("aria-current", String(isCurrent));
    if (frame.url) {
      const picture = new Image();
      picture.loading = "lazy";
      picture.alt = "";
      picture.src = frame.url;
      button.append(picture);
    }
    const time = document.createElement("span");
    time.textContent = frame.setup ? `${frame.time}, ${this.texts.setup}` : frame.time;
    button.append(time);
    button.setAttribute("aria-label", `${this.texts.frame.replace("{time}", frame.time)}${frame.setup ? `, ${this.texts.setup}` : ""}`);
    button.addEventListener("click", () => this.choose(view, frame.time_s));
    const item = document.createElement("li");
    item.append(button);
    return item;
  }
}

const away = (frame, time) => Math.abs(frame.time_s - time);
