/* The page of the stroke: joins the moving picture, the time bar, the strokes and the answers. */

import { Steps } from "../by_hand/steps.js";
import { Talk } from "../by_hand/talk.js";
import { TimeBar, nearest } from "./bar.js";
import { Player } from "./player.js";
import { showCharts, showStills, showStrokes, showTable } from "./shown.js";

const FIRST_ROWS = 6;

const root = document.getElementById("stroke");
const texts = JSON.parse(document.getElementById("texts").textContent);
const get = (id) => document.getElementById(id);
const talk = new Talk(root.dataset.address, texts, told);
const player = new Player(get("video"), { play: get("play"), half: get("half"), full: get("full") }, texts, (time) => bar.play(time));
const bar = new TimeBar(get("bar"), texts, {
  moving: (_name, time) => player.seek(time),
  moved,
  scrubbed: (time) => player.seek(time),
});

let now; // the last answer
let steps; // what is given, step by step
let kept; // what is given in the lesson as it is kept, as text
let view;
const chosen = {}; // the number of the stroke that is shown, by view

function stroke() {
  return now.views[view].strokes.find((each) => each.number === chosen[view]);
}

function say(text) {
  get("state").textContent = text;
}

function warn(text) {
  get("alert").textContent = text;
  get("alert").hidden = !text;
}

function moved(event, time, label) {
  const given = steps.now[view];
  const others = given.event_times.filter((each) => each.stroke !== chosen[view] || each.event !== event);
  const placed = [...others, { stroke: chosen[view], event, time_s: time }];
  steps.take({ ...steps.now, [view]: { ...given, event_times: placed } }, label);
  stroke().events[event].time_s = time; // where it was let go, until the answer is there
  stroke().events[event].by_hand = true;
  measure();
}

function measure() {
  warn("");
  say(texts.measuring);
  tell();
  talk.measure(steps.now);
}

function told({ answer, says }) {
  if (says) {
    warn(`${says} ${texts.not_measured}`);
    say("");
    return;
  }
  now = answer;
  const count = Object.values(steps.now).reduce((sum, each) => sum + each.event_times.length, 0);
  say(count ? texts.measured.replace("{count}", count) : texts.nothing);
  show();
  root.dataset.answers = Number(root.dataset.answers ?? 0) + 1;
}

/** Show which buttons can be pressed. */
function tell() {
  get("undo").disabled = !steps.past.length;
  get("redo").disabled = !steps.future.length;
  get("as-found").disabled = Object.values(steps.now).every((each) => !each.event_times.length);
  get("keep").disabled = JSON.stringify(steps.now) === kept;
}

function show() {
  const shown = stroke();
  tell();
  showStrokes(get("strokes"), now.views[view].strokes, chosen[view], texts, (number) => {
    chosen[view] = number;
    show();
  });
  showTable(get("table").tBodies[0], now.rows.slice(0, FIRST_ROWS));
  showTable(get("more").tBodies[0], now.rows.slice(FIRST_ROWS));
  get("doubts").replaceChildren(...[...now.warnings, ...(shown?.doubts ?? [])].map(line));
  const nothing = !shown;
  for (const id of ["bar", "playing", "stills-part"]) get(id).hidden = nothing;
  get("no-clip").hidden = Boolean(shown?.clip);
  get("no-clip").textContent = shown?.clip ? "" : texts.no_clip;
  if (nothing) {
    player.show(null);
    return;
  }
  const clip = shown.clip;
  const [from, to] = clip ? [clip.start_s, clip.end_s] : [shown.times_s[0], shown.times_s.at(-1)];
  const times = shown.times_s.filter((each) => each >= from - 1e-4 && each <= to + 1e-4);
  get("playing").hidden = !clip;
  player.show(clip, times, shown.events.impact.time_s ?? from);
  bar.show({ times, events: shown.events, from, to });
  bar.play(player.time());
  showStills(get("stills"), shown, texts);
  get("stills-part").hidden = !shown.still;
  drawCharts(shown.number);
}

let drawing = 0;
async function drawCharts(number) {
  const asked = ++drawing;
  get("charts").setAttribute("aria-busy", "true");
  const charts = await talk.post(`charts?stroke=${number}`, steps.now).catch(() => null);
  if (asked !== drawing) return;
  get("charts").removeAttribute("aria-busy");
  if (charts) showCharts(get("charts"), charts, texts);
}

function line(text) {
  const item = document.createElement("li");
  item.textContent = text;
  return item;
}

function changeView(to) {
  view = to;
  document.querySelectorAll("#views button").forEach((each) => each.setAttribute("aria-pressed", String(each.dataset.view === view)));
  show();
}

function step(by) {
  const { times_s: times } = stroke();
  const place = nearest(times, player.time()) + by;
  player.seek(times[Math.min(Math.max(place, 0), times.length - 1)]);
}

async function keep() {
  const sent = JSON.stringify(steps.now);
  say(texts.keeping);
  get("keep").disabled = true;
  try {
    const answer = await talk.keep(JSON.parse(sent));
    kept = sent;
    say(answer.says);
  } catch (error) {
    warn(error.message);
    say("");
  }
  tell();
}

function travel(go) {
  if (go()) measure();
}

get("undo").addEventListener("click", () => travel(() => steps.undo()));
get("redo").addEventListener("click", () => travel(() => steps.redo()));
get("as-found").addEventListener("click", () => {
  const bare = Object.entries(steps.now).map(([each, given]) => [each, { ...given, event_times: [] }]);
  steps.take(Object.fromEntries(bare));
  measure();
});
get("keep").addEventListener("click", keep);
get("back").addEventListener("click", () => step(-1));
get("on").addEventListener("click", () => step(1));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  const go = key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : "";
  if (!go || get(go).disabled) return;
  event.preventDefault();
  get(go).click();
});
window.addEventListener("beforeunload", (event) => {
  if (steps && JSON.stringify(steps.now) !== kept) event.preventDefault();
});

try {
  now = await talk.load();
  if (now.why_none || Object.values(now.views).every((each) => !each.strokes.length)) {
    get("none").textContent = now.why_none;
    get("none").hidden = false;
  } else {
    steps = new Steps(now.given);
    kept = JSON.stringify(now.given);
    for (const [name, each] of Object.entries(now.views)) chosen[name] = each.strokes[each.shown]?.number ?? each.strokes[0]?.number;
    get("views").replaceChildren(
      ...Object.entries(now.views).map(([name, each]) => {
        const button = document.createElement("button");
        button.type = "button";
        button.dataset.view = name;
        button.textContent = each.title;
        button.addEventListener("click", () => changeView(name));
        return button;
      }),
    );
    get("whole").hidden = false;
    changeView(Object.keys(now.views).find((each) => each === "face_on" && now.views[each].strokes.length) ?? Object.keys(now.views)[0]);
  }
  root.dataset.ready = "yes";
} catch (error) {
  warn(error.message);
}
