// Charts that can be read by pointing, by touch and by the arrow keys. The texts and places come from the server.

/** Let one chart be read: `figure` holds its picture, `points` its marks as shares of the picture, `hint` says how. */
export function makeReadable(figure, points, hint) {
  const picture = figure.querySelector("img");
  if (!picture || !points.length) return;
  const box = document.createElement("div");
  box.className = "readable";
  box.tabIndex = 0;
  box.setAttribute("role", "application");
  box.setAttribute("aria-label", `${picture.alt} ${hint}`);
  picture.replaceWith(box);
  const mark = document.createElement("span");
  mark.className = "mark";
  mark.hidden = true;
  box.append(picture, mark);
  const says = document.createElement("p");
  says.className = "readout small";
  says.setAttribute("aria-live", "polite");
  says.textContent = hint;
  figure.append(says);
  let at = -1;

  function show(place) {
    at = Math.min(Math.max(place, 0), points.length - 1);
    mark.hidden = false;
    mark.style.left = `${100 * points[at].x}%`;
    mark.style.top = `${100 * points[at].y}%`;
    says.textContent = points[at].says;
  }

  function nearest(event) {
    const { left, top, width, height } = picture.getBoundingClientRect();
    const far = (point) => Math.hypot(left + point.x * width - event.clientX, top + point.y * height - event.clientY);
    let best = 0;
    points.forEach((point, place) => { if (far(point) < far(points[best])) best = place; });
    show(best);
  }

  box.addEventListener("pointermove", nearest);
  box.addEventListener("pointerdown", nearest);
  box.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const end = { Home: 0, End: points.length - 1 }[event.key];
    if (step === undefined && end === undefined) return;
    event.preventDefault();
    show(end ?? at + step);
  });
}

const given = document.getElementById("chart-points");
if (given) {
  for (const [name, points] of Object.entries(JSON.parse(given.dataset.points))) {
    const figure = document.getElementById(`picture-${name}`)?.closest("figure");
    if (figure) makeReadable(figure, points, given.dataset.hint);
  }
}
