/* The page on which points are put right by hand: joins canvas, buttons, keys and answers. */

import { draw } from "./drawing.js";
import { isNothing, itemsOf, nearest, spread, withoutItem, withPlace } from "./items.js";
import { showFindings, showPutter, showTable } from "./numbers.js";
import { listen } from "./pointers.js";
import { Sight } from "./sight.js";
import { Steps } from "./steps.js";
import { Strip } from "./strip.js";
import { Talk } from "./talk.js";

const GLASS = { side: 132, zoom: 2.5 };
const BACK_POINTS = 7;

const root = document.getElementById("by-hand");
const texts = JSON.parse(document.getElementById("texts").textContent);
const get = (id) => document.getElementById(id);
const canvas = get("canvas");
const glass = get("glass");
const talk = new Talk(root.dataset.address, texts, told);
const strip = new Strip(get("strip-part"), get("strip"), root.dataset.address, texts, chooseFrame);

let found; // what never changes
let now; // the last answer
let steps; // what is given
let kept; // what is given in the lesson as it is kept, as text
let view;
let chosen = "";
let dragged = null; // {item, at, touch} while a point is held
let showsGhost = false;
let letGoAt = 0;
const sights = {};
const images = {};

function given() {
  return steps.now[view];
}

function items() {
  const all = itemsOf(found.views[view], now.views[view], given(), texts);
  return dragged ? all.map((each) => (each.id === dragged.item.id ? { ...each, at: dragged.at, byHand: true } : each)) : all;
}

function scene(all) {
  const still = found.views[view].still;
  return {
    image: images[view], box: still?.box, items: all, chosen, limbs: found.views[view].limbs,
    marks: now.views[view].marks, ghost: showsGhost && view === "down_the_line" ? now.ghost : null, colours: found.colours,
  };
}

let asked = false;
function redraw() {
  if (asked) return;
  asked = true;
  requestAnimationFrame(() => {
    asked = false;
    const ratio = window.devicePixelRatio || 1;
    const [width, height] = [canvas.clientWidth, canvas.clientHeight];
    if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
      canvas.width = Math.round(width * ratio);
      canvas.height = Math.round(height * ratio);
    }
    const sight = sights[view];
    sight.resize(width, height);
    const drawn = scene(items());
    draw(canvas.getContext("2d"), sight, drawn, ratio);
    drawGlass(sight, drawn);
    root.dataset.scale = sight.scale;
    root.dataset.left = sight.left;
    root.dataset.top = sight.top;
  });
}

function drawGlass(sight, drawn) {
  glass.hidden = !(dragged && dragged.touch);
  if (glass.hidden) return;
  const close = new Sight(sight.size);
  close.width = close.height = GLASS.side;
  close.scale = sight.scale * GLASS.zoom;
  close.left = dragged.at[0] - GLASS.side / close.scale / 2;
  close.top = dragged.at[1] - GLASS.side / close.scale / 2;
  draw(glass.getContext("2d"), close, drawn, glass.width / GLASS.side);
  // The glass goes to the other corner where the finger would be under it.
  const [x, y] = sight.toScreen(dragged.at);
  const under = x < GLASS.side + 60 && y < GLASS.side + 60;
  glass.className = under ? "right" : "left";
}

function choose(id) {
  chosen = id;
  listPoints();
  redraw();
}

function listPoints() {
  const list = get("point");
  const all = items();
  if (!all.some((each) => each.id === chosen)) chosen = all[0]?.id ?? "";
  list.replaceChildren(
    ...all.map((each) => {
      const entry = document.createElement("option");
      entry.value = each.id;
      entry.textContent = each.byHand ? `${each.name} (${texts.by_hand})` : each.name;
      entry.selected = each.id === chosen;
      return entry;
    }),
  );
  const item = all.find((each) => each.id === chosen);
  get("place").value = item ? `${item.at[0].toFixed(0)}, ${item.at[1].toFixed(0)}` : "";
  get("as-found").disabled = !item?.byHand;
  get("all-as-found").disabled = Object.values(steps.now).every((each) => isNothing(each, found.nothing));
  get("undo").disabled = !steps.past.length;
  get("redo").disabled = !steps.future.length;
  get("keep").disabled = stateAsText() === kept;
}

function stateAsText() {
  return JSON.stringify([steps.now, talk.times]);
}

function say(text) {
  get("state").textContent = text;
}

function warn(text) {
  get("alert").textContent = text;
  get("alert").hidden = !text;
}

/** Take what is given from now on, and measure with it. */
function take(changed, label = "") {
  steps.take({ ...steps.now, [view]: changed }, label);
  measure();
}

function measure() {
  letGoAt = performance.now();
  warn("");
  say(texts.measuring);
  listPoints();
  redraw();
  talk.measure(steps.now);
}

function told({ answer, says }) {
  if (says) {
    warn(`${says} ${texts.not_measured}`);
    say("");
    return;
  }
  now = answer;
  show();
  root.dataset.tookMs = Math.round(performance.now() - letGoAt);
  root.dataset.answers = Number(root.dataset.answers ?? 0) + 1;
}

function show() {
  const count = new Set(Object.values(now.views).flatMap((each) => each.by_hand)).size;
  say(count ? texts.measured.replace("{count}", count) : texts.nothing);
  showFindings(get("findings"), now.findings, texts);
  showPutter(get("putter"), now.rows, texts);
  showTable(get("table").tBodies[0], now.rows, texts);
  const more = now.warnings.join(" ");
  if (more) warn(more);
  get("ghost").disabled = !now.ghost;
  listPoints();
  redraw();
}

function changeView(to) {
  view = to;
  document.querySelectorAll("button.view").forEach((each) => each.setAttribute("aria-pressed", String(each.dataset.view === view)));
  if (!found.views[view].still) say(texts.no_picture);
  strip.show(view, found.views[view].time_s);
  document.querySelector("[data-add=back]").disabled = !found.views[view].found.marks.back;
  listPoints();
  redraw();
}

function move(du, dv) {
  const all = items();
  const item = all.find((each) => each.id === chosen);
  if (!item) return;
  const [width, height] = found.views[view].size;
  const at = [clamp(item.at[0] + du, width), clamp(item.at[1] + dv, height)];
  sights[view].reveal(at);
  take(withPlace(given(), item, at, all), `key ${item.id}`);
  get("place").value = texts.moved.replace("{name}", item.name).replace("{u}", at[0].toFixed(0)).replace("{v}", at[1].toFixed(0));
}

const clamp = (value, most) => Math.min(Math.max(value, 0), most);

function chooseNext(step) {
  const all = items();
  const place = all.findIndex((each) => each.id === chosen);
  const item = all[(place + step + all.length) % all.length];
  if (!item) return;
  sights[view].reveal(item.at);
  choose(item.id);
}

function undo() {
  if (steps.undo()) measure();
}

function redo() {
  if (steps.redo()) measure();
}

const add = {
  length() {
    const typed = Number(get("length").value.trim().replace(",", "."));
    if (!(typed > 0)) {
      warn(texts.length_needed);
      get("length").focus();
      return;
    }
    const [u, v] = middleOfSight();
    const half = sights[view].width / sights[view].scale / 6;
    take({ ...given(), scale_object: [typed, given().scale_object?.[1] ?? [[u - half, v], [u + half, v]]] });
    choose("length 0");
  },
  shaft() {
    if (!given().shaft_px && !now.views[view].shaft) {
      const [u, v] = middleOfSight();
      const half = sights[view].height / sights[view].scale / 6;
      take({ ...given(), shaft_px: [[u, v - half], [u, v + half]] });
    }
    choose("shaft 0");
  },
  ball() {
    if (!given().ball_px && !now.views[view].ball) take({ ...given(), ball_px: middleOfSight() });
    choose("ball");
  },
  back() {
    const line = spread(found.views[view].found.marks.back ?? [], BACK_POINTS);
    if (line.length && !given().back_px?.length) take({ ...given(), back_px: line });
    choose("back 0");
  },
  target() {
    if (!given().target_px) {
      const [u] = middleOfSight();
      const [, height] = found.views[view].size;
      const low = found.views[view].found.ground_v;
      take({ ...given(), target_px: [[u, clamp(low + 0.06 * height, height)], [u, clamp(low - 0.06 * height, height)]] });
    }
    choose("target 0");
  },
};

function middleOfSight() {
  const sight = sights[view];
  const [width, height] = found.views[view].size;
  const [u, v] = sight.toPicture([sight.width / 2, sight.height / 2]);
  return [clamp(u, width), clamp(v, height)];
}

function wire() {
  listen(canvas, {
    sight: () => sights[view],
    take(at, reach) {
      const item = nearest(items(), at, reach, chosen);
      if (!item) return null;
      dragged = { item, at: item.at, touch: false, moved: false };
      choose(item.id);
      return item;
    },
    drag(at, touch) {
      const [width, height] = found.views[view].size;
      dragged = { item: dragged.item, at: [clamp(at[0], width), clamp(at[1], height)], touch, moved: true };
    },
    drop() {
      const { item, at, moved } = dragged;
      dragged = null;
      if (moved) take(withPlace(given(), item, at, items()));
    },
    cancel() {
      dragged = null;
    },
    redraw,
  });
  canvas.addEventListener("keydown", (event) => {
    const far = event.shiftKey ? 10 : 1;
    const keys = {
      ArrowLeft: () => move(-far, 0), ArrowRight: () => move(far, 0), ArrowUp: () => move(0, -far), ArrowDown: () => move(0, far),
      PageDown: () => chooseNext(1), PageUp: () => chooseNext(-1),
      "+": () => zoom(1.25), "=": () => zoom(1.25), "-": () => zoom(0.8), 0: () => zoom(0),
      Delete: () => get("as-found").click(),
    };
    if (event.ctrlKey || event.metaKey || !keys[event.key]) return;
    event.preventDefault();
    keys[event.key]();
  });
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, textarea")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) undo();
    else if (key === "y" || (key === "z" && event.shiftKey)) redo();
    else return;
    event.preventDefault();
  });
  get("undo").addEventListener("click", undo);
  get("redo").addEventListener("click", redo);
  get("as-found").addEventListener("click", () => {
    const item = items().find((each) => each.id === chosen);
    if (item?.byHand) take(withoutItem(given(), item));
  });
  get("all-as-found").addEventListener("click", () => {
    steps.take(Object.fromEntries(Object.keys(steps.now).map((each) => [each, found.nothing])));
    measure();
  });
  get("closer").addEventListener("click", () => zoom(1.4));
  get("farther").addEventListener("click", () => zoom(1 / 1.4));
  get("whole").addEventListener("click", () => zoom(0));
  get("ghost").addEventListener("click", () => {
    showsGhost = !showsGhost;
    get("ghost").setAttribute("aria-pressed", String(showsGhost));
    if (showsGhost && view !== "down_the_line" && found.views.down_the_line) changeView("down_the_line");
    redraw();
  });
  get("point").addEventListener("change", (event) => {
    sights[view].reveal(items().find((each) => each.id === event.target.value).at);
    choose(event.target.value);
  });
  get("keep").addEventListener("click", keep);
  document.querySelectorAll("button.view").forEach((each) => each.addEventListener("click", () => changeView(each.dataset.view)));
  document.querySelectorAll("button[data-add]").forEach((each) => each.addEventListener("click", () => add[each.dataset.add]()));
  new ResizeObserver(redraw).observe(canvas);
  window.addEventListener("beforeunload", (event) => {
    if (!get("keep").disabled) event.preventDefault();
  });
}

function zoom(factor) {
  if (factor) sights[view].zoom(factor);
  else sights[view].showAll();
  redraw();
}

async function keep() {
  const sent = steps.now;
  get("keep").disabled = true;
  say(texts.keeping);
  try {
    const said = await talk.keep(sent);
    if (Object.keys(talk.times).length) {
      talk.times = {}; // the chosen frames are those of the lesson now
      found = await talk.load();
    }
    kept = JSON.stringify([sent, {}]);
    say(said.says);
    root.dataset.kept = "true";
  } catch (error) {
    warn(`${error.message} ${texts.not_kept}`);
    say("");
  }
  listPoints();
}

function loadPicture(of) {
  const still = found.views[of].still;
  if (!still) return;
  const image = new Image();
  image.addEventListener("load", () => {
    images[of] = image;
    root.dataset.pictures = Object.keys(images).length;
    redraw();
  });
  image.src = still.url;
}

/** Let another frame of a clip stand for the lesson. */
async function chooseFrame(of, time) {
  const before = talk.times;
  talk.times = { ...before, [of]: time };
  warn("");
  say(texts.looking);
  root.dataset.looking = "true";
  let seen;
  try {
    seen = await talk.load();
  } catch (error) {
    talk.times = before;
    warn(error.message);
    say("");
    return;
  } finally {
    delete root.dataset.looking;
  }
  found = seen;
  now = seen.now;
  steps = new Steps({ ...steps.now, [of]: seen.given[of] ?? seen.nothing });
  const sight = sights[of];
  sight.showAll(seen.views[of].still?.box ?? sight.box);
  loadPicture(of);
  if (of === view) strip.show(view, seen.views[of].time_s);
  measure();
}

async function begin() {
  try {
    found = await talk.load();
  } catch (error) {
    warn(error.message);
    return;
  }
  now = found.now;
  steps = new Steps(Object.fromEntries(Object.keys(found.views).map((each) => [each, found.given[each] ?? found.nothing])));
  kept = stateAsText();
  for (const [each, seen] of Object.entries(found.views)) {
    sights[each] = new Sight(seen.size);
    sights[each].box = seen.still?.box ?? [0, 0, ...seen.size];
    loadPicture(each);
  }
  view = Object.keys(found.views)[0];
  chosen = "joint right_shoulder";
  wire();
  changeView(view);
  show();
  root.dataset.ready = "true";
}

begin();
