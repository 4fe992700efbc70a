/* The page of live numbers: wires camera, connection, drawing, steps and holding together. It works nothing out. */

import { Camera } from "./camera.js";
import { Drawing } from "./drawing.js";
import { keep, measure, pack } from "./holding.js";
import { Link } from "./link.js";
import { Steps } from "./steps.js";

const SMOOTH = 0.1;
const WAIT_FOR_STILL_MS = 6000;
const STILL_LOOK_MS = 80;
const LEAST_HELD = 4;
const FRESH_MS = 1200;

const root = document.getElementById("live");
const words = root.dataset;
const at = (id) => document.getElementById(id);
const form = at("settings");
const camera = new Camera(at("video"));
const drawing = new Drawing(at("canvas"));
const steps = new Steps(at("steps"), words);
let link = null;
let seen = null;
let speed = { rate: 0, lag: 0, last: 0 };

function say(text) {
  if (at("says").textContent !== text) at("says").textContent = text;
}

function settings() {
  const given = new FormData(form);
  return {
    view: given.get("view"),
    handed: form.elements.handed.value,
    putter: given.get("putter"),
    camera: given.get("camera"),
  };
}

async function start() {
  stop();
  const { view, handed, putter, camera: id } = settings();
  say(words.waiting);
  try {
    await camera.open(id);
  } catch (error) {
    const why = { NotAllowedError: words.refused, SecurityError: words.insecure };
    say(why[error.name] ?? words.noCamera);
    return;
  }
  listCameras(id);
  drawing.size(camera.small.width, camera.small.height);
  const address = `${location.origin.replace(/^http/, "ws")}/lessons/${words.draft}/live/frames`;
  const opened = new Link(`${address}?${new URLSearchParams({ view, handed, putter })}`, {
    tell: (found) => take(found, opened),
    ended: () => ended(opened),
  });
  link = opened;
  camera.watch((now) => frame(now, opened));
  running(true);
  at("hold").focus();
}

function stop() {
  const was = link;
  link = null;
  was?.close();
  camera.close();
  seen = null;
  drawing.forgetWay();
  steps.show([]);
  running(false);
}

function running(is) {
  at("start").hidden = is;
  at("stop").hidden = !is;
  at("hold").disabled = at("choose").disabled = !is;
}

function ended(opened) {
  if (link !== opened) return;
  const said = seen?.error ?? words.ended;
  stop();
  say(said);
}

let reading = false;

async function frame(now, opened) {
  if (link !== opened) return;
  drawing.show(camera.video, seen);
  if (reading || !opened.isFree) return;
  reading = true;
  try {
    await opened.send(now, await camera.read());
  } finally {
    reading = false;
  }
}

function take(found, opened) {
  if (link !== opened) return;
  seen = found;
  if (found.error) {
    say(found.error);
    return;
  }
  drawing.follow(found);
  steps.show(found.steps);
  if (!holding) say(found.says || found.numbersSay);
  measureSpeed(found);
  root.dataset.state = found.state;
}

/* The lag counts until the screen shows what was seen: up to the next picture that is drawn. */
function measureSpeed(found) {
  requestAnimationFrame((now) => {
    const gap = now - speed.last;
    speed.last = now;
    if (gap > 0 && gap < 1000) speed.rate += SMOOTH * (1000 / gap - speed.rate);
    speed.lag += SMOOTH * (now - found.t - speed.lag);
    root.dataset.rate = speed.rate.toFixed(1);
    root.dataset.lag = speed.lag.toFixed(0);
    at("speed").textContent = words.speed
      .replace("{rate}", speed.rate.toFixed(0))
      .replace("{lag}", speed.lag.toFixed(0))
      .replace("{smoothing}", found.smoothingMs);
  });
}

async function listCameras(id) {
  const select = form.elements.camera;
  const found = await camera.list();
  const options = found.map((each, index) => new Option(each.label || `${words.camera} ${index + 1}`, each.deviceId));
  select.replaceChildren(select.options[0], ...options);
  select.value = id ?? "";
}

let holding = false;

async function hold() {
  if (!link || holding) return;
  holding = true;
  at("hold").disabled = true;
  try {
    const held = await stillPictures();
    if (held.length < LEAST_HELD) {
      say(words.notStill);
      return;
    }
    say(words.holding);
    const { view, handed, putter } = settings();
    const body = await pack(held, { view, handed, without_putter: putter === "without" });
    await keep(words.draft, body);
    if (!words.measures) {
      say(words.held);
      return;
    }
    stop();
    say(words.holding);
    measure(words.draft);
  } catch (error) {
    say(error.message);
  } finally {
    holding = false;
    at("hold").disabled = !link;
  }
}

/** The pictures of the stillness that goes on or has just ended; where there is none, of the next one. */
async function stillPictures() {
  const until = performance.now() + WAIT_FOR_STILL_MS;
  for (;;) {
    const span = seen?.lastStill;
    if (span && performance.now() - span[1] < FRESH_MS) {
      const held = await camera.between(...span);
      if (held.length >= LEAST_HELD) return held;
    }
    if (!link || performance.now() > until) return [];
    say(words.standStill);
    await new Promise((go) => setTimeout(go, STILL_LOOK_MS));
  }
}

function press(button, change) {
  at(button).addEventListener("click", () => {
    const is = at(button).getAttribute("aria-pressed") !== "true";
    at(button).setAttribute("aria-pressed", String(is));
    change(is);
  });
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  start();
});
form.addEventListener("change", () => link && start());
at("stop").addEventListener("click", () => {
  stop();
  say("");
});
at("hold").addEventListener("click", hold);
at("before").addEventListener("click", () => steps.go(-1));
at("next").addEventListener("click", () => steps.go(1));
at("choose").addEventListener("click", () => {
  at("stage").classList.add("choosing");
  say(words.choose);
});
at("canvas").addEventListener("click", (event) => {
  if (!at("stage").classList.contains("choosing")) return;
  at("stage").classList.remove("choosing");
  const box = at("canvas").getBoundingClientRect();
  const scale = Math.min(box.width / at("canvas").width, box.height / at("canvas").height);
  let u = (event.clientX - box.left - (box.width - at("canvas").width * scale) / 2) / scale;
  const v = (event.clientY - box.top - (box.height - at("canvas").height * scale) / 2) / scale;
  if (at("stage").classList.contains("mirrored")) u = at("canvas").width - u;
  drawing.forgetWay();
  link?.choose([u, v]);
});
press("far", (is) => document.body.classList.toggle("far", is));
press("mirror", (is) => at("stage").classList.toggle("mirrored", is));
press("trail", (is) => {
  drawing.showsWay = is;
  drawing.forgetWay();
});
document.addEventListener("keydown", (event) => {
  if (event.target.closest("select, input")) return;
  if (event.key === "PageDown") hold();
  else if (event.key === "ArrowRight") steps.go(1);
  else if (event.key === "ArrowLeft") steps.go(-1);
  else return;
  event.preventDefault();
});
window.addEventListener("pagehide", stop);
