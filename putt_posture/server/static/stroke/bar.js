/* The time bar of a stroke: its events as handles that are dragged, or moved by keys, from frame to frame. */

const NAMES = ["start", "top", "impact", "finish"];
const TEN = 10;

export class TimeBar {
  /** `moving(name, time)` is called while an event is moved, `moved(name, time, label)` when it is let go. */
  constructor(box, texts, { moving, moved, scrubbed }) {
    Object.assign(this, { box, texts, moving, moved, scrubbed });
    this.held = null;
    this.track = add(box, "div", "track");
    this.past = add(this.track, "div", "past");
    this.now = add(this.track, "div", "now");
    this.handles = {};
    this.track.addEventListener("pointerdown", (event) => this.scrub(event));
    this.track.addEventListener("pointermove", (event) => event.buttons && this.scrub(event));
  }

  /** Show the events of a stroke: {times, events: {name: {title, time_s, by_hand}}, from, to}. */
  show(stroke) {
    this.stroke = stroke;
    for (const name of NAMES) {
      const event = stroke.events[name];
      const handle = (this.handles[name] ??= this.handle(name));
      handle.hidden = event.time_s === null;
      handle.querySelector("span").textContent = event.title;
      handle.setAttribute("aria-label", event.title);
      handle.setAttribute("aria-valuemin", stroke.times[0].toFixed(3));
      handle.setAttribute("aria-valuemax", stroke.times.at(-1).toFixed(3));
      handle.classList.toggle("hand", event.by_hand);
      if (event.time_s !== null) this.put(name, event.time_s);
    }
  }

  /** Show which time is played. */
  play(time) {
    const share = this.share(time);
    this.past.style.width = `${100 * share}%`;
    this.now.style.left = `${100 * share}%`;
  }

  handle(name) {
    const handle = add(this.box, "div", `event ${name}`);
    handle.setAttribute("role", "slider");
    handle.tabIndex = 0;
    handle.dataset.event = name;
    add(handle, "i", "");
    add(handle, "span", "");
    handle.addEventListener("pointerdown", (event) => {
      handle.setPointerCapture(event.pointerId);
      handle.focus();
      const grip = event.clientX - this.x(this.stroke.events[name].time_s);
      this.held = { name, grip, time: this.stroke.events[name].time_s, from: event.clientX };
      event.preventDefault();
    });
    handle.addEventListener("pointermove", (event) => {
      if (this.held?.name !== name) return;
      const time = this.between(name, this.time(event.clientX - this.held.grip));
      if (time === this.held.time || (this.held.from !== null && Math.abs(event.clientX - this.held.from) < 3)) return;
      this.held.time = time;
      this.held.from = null;
      this.put(name, time);
      this.moving(name, time);
    });
    const letGo = () => {
      const held = this.held;
      this.held = null;
      if (held?.name === name && held.from === null) this.moved(name, held.time, "");
      else if (held) this.moving(name, this.stroke.events[name].time_s);
    };
    handle.addEventListener("pointerup", letGo);
    handle.addEventListener("pointercancel", () => {
      this.held = null;
      this.show(this.stroke);
    });
    handle.addEventListener("focus", () => this.held || this.moving(name, this.stroke.events[name].time_s));
    handle.addEventListener("keydown", (event) => {
      const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: TEN, PageDown: -TEN }[event.key];
      if (!step || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      const times = this.stroke.times;
      const place = nearest(times, this.stroke.events[name].time_s) + step;
      const time = this.between(name, times[Math.min(Math.max(place, 0), times.length - 1)]);
      if (time === this.stroke.events[name].time_s) return;
      this.put(name, time);
      this.moving(name, time);
      this.moved(name, time, `key ${name}`);
    });
    return handle;
  }

  /** The nearest frame to a time that lies between the event before and the one after. */
  between(name, time) {
    const { times, events } = this.stroke;
    const place = NAMES.indexOf(name);
    const known = (names) => names.map((each) => events[each].time_s).filter((each) => each !== null);
    const low = Math.max(-Infinity, ...known(NAMES.slice(0, place)));
    const high = Math.min(Infinity, ...known(NAMES.slice(place + 1)));
    const allowed = times.filter((each) => each > low && each < high);
    return allowed.length ? allowed[nearest(allowed, time)] : events[name].time_s;
  }

  put(name, time) {
    const handle = this.handles[name];
    handle.style.left = `${100 * this.share(time)}%`;
    handle.setAttribute("aria-valuenow", time.toFixed(3));
    handle.setAttribute(
      "aria-valuetext",
      this.texts.at.replace("{event}", this.stroke.events[name].title).replace("{time}", time.toFixed(2)),
    );
  }

  share(time) {
    const { from, to } = this.stroke;
    return Math.min(Math.max((time - from) / (to - from || 1), 0), 1);
  }

  x(time) {
    const { left, width } = this.track.getBoundingClientRect();
    return left + this.share(time) * width;
  }

  time(x) {
    const { left, width } = this.track.getBoundingClientRect();
    const { from, to } = this.stroke;
    return from + ((x - left) / (width || 1)) * (to - from);
  }

  scrub(event) {
    this.track.setPointerCapture(event.pointerId);
    const { times } = this.stroke;
    this.scrubbed(times[nearest(times, this.time(event.clientX))]);
  }
}

export function nearest(times, time) {
  let best = 0;
  times.forEach((each, place) => {
    if (Math.abs(each - time) < Math.abs(times[best] - time)) best = place;
  });
  return best;
}

function add(parent, tag, name) {
  const made = document.createElement(tag);
  made.className = name;
  parent.append(made);
  return made;
}
