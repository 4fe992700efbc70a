/* The sliders of the fit: sends what was moved, and puts the answer in its place. Every number comes from the server. */

const talk = document.getElementById("talk");
const form = document.getElementById("asked");
const base = talk.dataset.base;
const wrong = document.getElementById("wrong");
const WAIT_MS = 70; // between the last move and the question
const CURVES_WAIT_MS = 500;
const IN_PUTTER = new Set(["length_cm", "putter_lie_deg"]);

const sliders = new Map(
  [...document.querySelectorAll("[data-slider]")].map((box) => [
    box.dataset.slider,
    {
      range: box.querySelector("[data-range]"),
      number: box.querySelector("[data-number]"),
      free: box.querySelector("[data-free]"),
      says: box.querySelector("[data-says]"),
    },
  ]),
);
const asked = new URLSearchParams(location.search); // what was moved; what was not stays as the lesson has it
asked.delete("kept");
for (const name of asked.getAll("by_fit")) asked.set(name, "");
asked.delete("by_fit");

let waiting = 0;
let curvesWaiting = 0;
let question = null;
let curvesOf = null;

function tell(text) {
  wrong.textContent = text;
  wrong.hidden = !text;
}

async function get(path, controller) {
  const answer = await fetch(`${base}/${path}?${asked}`, {
    headers: { accept: "application/json" },
    signal: controller.signal,
  });
  const said = await answer.json();
  if (!answer.ok) throw new Error(said.says);
  return said;
}

async function ask() {
  question?.abort(); // an older answer would be stale
  const mine = (question = new AbortController());
  talk.classList.add("busy");
  try {
    show(await get("answer", mine));
    tell("");
    keepAddress();
    askCurvesSoon();
  } catch (error) {
    if (mine.signal.aborted) return;
    tell(error instanceof TypeError || error instanceof SyntaxError ? talk.dataset.retry : error.message);
  }
  if (question === mine) talk.classList.remove("busy");
}

function show(answer) {
  for (const [name, state] of Object.entries(answer.sliders)) {
    const slider = sliders.get(name);
    slider.says.textContent = state.says;
    slider.range.setAttribute("aria-valuetext", state.says);
    if (slider.free) slider.free.checked = state.by_fit;
    if (state.by_fit || slider.number !== document.activeElement) slider.number.value = state.value;
    if (slider.range !== document.activeElement || state.by_fit) slider.range.value = state.value;
  }
  showGhost(answer.ghost);
  document.getElementById("summary").textContent = answer.says;
  const answerBox = document.getElementById("answer");
  const open = answerBox.querySelector("details")?.open;
  answerBox.innerHTML = answer.html; // made and escaped by the server's own templates
  if (open) answerBox.querySelector("details").open = true;
}

function showGhost(ghost) {
  const drawing = document.getElementById("ghost");
  if (!drawing) return;
  drawing.toggleAttribute("hidden", !ghost);
  if (!ghost) return;
  for (const path of drawing.querySelectorAll("[data-body]")) path.setAttribute("d", ghost.body);
  for (const line of drawing.querySelectorAll("[data-line]")) setAll(line, ghost[line.dataset.line]);
  setAll(drawing.querySelector("[data-ball]"), ghost.ball);
}

function setAll(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
}

function keepAddress() {
  const query = asked.toString();
  history.replaceState(null, "", query ? `${base}?${query}` : base);
  for (const link of document.querySelectorAll("[data-with-query]")) link.search = query;
  for (const field of document.querySelectorAll("[data-query]")) field.value = query;
}

function moved(name, value) {
  asked.set(name, value);
  clearTimeout(waiting);
  waiting = setTimeout(ask, WAIT_MS);
}

for (const [name, slider] of sliders) {
  slider.range.addEventListener("input", () => {
    slider.number.value = slider.range.value;
    if (slider.free) slider.free.checked = false;
    moved(name, slider.range.value);
  });
  slider.number.addEventListener("input", () => {
    if (slider.number.value === "") return;
    slider.range.value = slider.number.value;
    if (slider.free) slider.free.checked = false;
    moved(name, slider.number.value);
  });
  slider.free?.addEventListener("change", () => moved(name, slider.free.checked ? "" : slider.number.value));
}
form.addEventListener("submit", (event) => {
  event.preventDefault();
  ask();
});

/* The curves: asked for once the sliders rest, and only where what they show has changed. */

const chart = document.getElementById("chart");
const reading = document.getElementById("reading");
const cursor = document.getElementById("cursor");
const readOff = document.getElementById("read-off");
const tryLength = document.getElementById("try-length");
let stops = [];
let at = -1;
let curvesQuestion = null;

function askCurvesSoon() {
  const wanted = JSON.stringify([...asked].filter(([name]) => !IN_PUTTER.has(name)));
  if (wanted === curvesOf) return;
  clearTimeout(curvesWaiting);
  curvesQuestion?.abort();
  curvesWaiting = setTimeout(() => askCurves(wanted), CURVES_WAIT_MS);
}

async function askCurves(wanted) {
  const mine = (curvesQuestion = new AbortController());
  try {
    const answer = await get("curves", mine);
    curvesOf = wanted;
    document.getElementById("curves").hidden = false;
    chart.hidden = !answer.chart;
    if (answer.chart) chart.src = answer.chart;
    chart.alt = answer.says;
    document.getElementById("curves-says").textContent = answer.says;
    stops = answer.stops;
    reading.setAttribute("aria-valuemax", String(Math.max(stops.length - 1, 0)));
    readAt(at < 0 ? Math.floor(stops.length / 2) : Math.min(at, stops.length - 1));
  } catch (error) {
    if (!mine.signal.aborted) document.getElementById("curves-says").textContent = error.message;
  }
}

function readAt(place) {
  at = place;
  for (const old of reading.querySelectorAll(".point")) old.remove();
  const stop = stops[place];
  cursor.hidden = tryLength.disabled = !stop;
  if (!stop) {
    readOff.textContent = "";
    return;
  }
  cursor.style.left = `${100 * stop.x}%`;
  for (const y of stop.y) {
    const point = document.createElement("span");
    point.className = "point";
    point.style.left = `${100 * stop.x}%`;
    point.style.top = `${100 * y}%`;
    reading.append(point);
  }
  reading.setAttribute("aria-valuenow", String(place));
  reading.setAttribute("aria-valuetext", stop.says);
  readOff.textContent = stop.says;
}

reading.addEventListener("keydown", (event) => {
  const steps = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, Home: -stops.length, End: stops.length };
  if (!(event.key in steps) || !stops.length) return;
  event.preventDefault();
  readAt(Math.min(Math.max(at + steps[event.key], 0), stops.length - 1));
});
for (const kind of ["pointermove", "pointerdown"]) {
  reading.addEventListener(kind, (event) => {
    if (!stops.length || (event.pointerType === "touch" && kind === "pointermove" && !event.pressure)) return;
    const box = reading.getBoundingClientRect();
    const share = (event.clientX - box.left) / box.width;
    const far = stops.map((stop) => Math.abs(stop.x - share));
    const nearest = far.indexOf(Math.min(...far));
    if (nearest !== at) readAt(nearest);
  });
}
tryLength.addEventListener("click", () => {
  const slider = sliders.get("length_cm");
  slider.number.value = slider.range.value = stops[at].value;
  slider.free.checked = false;
  moved("length_cm", String(stops[at].value));
});

askCurvesSoon();
