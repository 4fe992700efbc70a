/* What the page of the stroke shows of an answer: strokes to choose from, stills, numbers, charts. */

const NAMES = ["start", "top", "impact", "finish"];

export function showStrokes(list, strokes, chosen, texts, choose) {
  list.replaceChildren(
    ...strokes.map((stroke) => {
      const item = document.createElement("li");
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = stroke.says;
      button.setAttribute("aria-pressed", String(stroke.number === chosen));
      button.addEventListener("click", () => {
        choose(stroke.number);
        list.querySelectorAll("button")[strokes.indexOf(stroke)]?.focus();
      });
      const why = document.createElement("p");
      why.className = "small soft";
      why.textContent = stroke.why;
      item.append(button, why);
      return item;
    }),
  );
}

export function showStills(box, stroke, texts) {
  if (!stroke.still) {
    box.replaceChildren();
    return;
  }
  const query = stroke.clip?.url.split("?")[1];
  box.replaceChildren(
    ...NAMES.map((name) => {
      const event = stroke.events[name];
      const figure = document.createElement("figure");
      const title = document.createElement("figcaption");
      const hand = event.by_hand ? `, ${texts.by_hand}` : "";
      title.textContent = event.time_s === null ? `${event.title}: ${texts.not_found}` : `${event.title}, ${event.time_s.toFixed(2)} s${hand}`;
      if (event.time_s !== null) {
        const picture = new Image();
        picture.src = `${stroke.still}/${event.time_s.toFixed(4)}.jpg${query ? `?${query}` : ""}`;
        picture.alt = texts.frame_at.replace("{event}", event.title).replace("{time}", event.time_s.toFixed(2));
        figure.append(picture);
      }
      figure.append(title);
      return figure;
    }),
  );
}

export function showTable(body, rows) {
  body.replaceChildren(
    ...rows.map((row) => {
      const line = document.createElement("tr");
      if (row.other) line.className = "hand";
      const head = document.createElement("th");
      head.scope = "row";
      head.textContent = row.title;
      line.append(head, cell(row.found), cell(row.now));
      return line;
    }),
  );
}

export function showCharts(box, charts, texts) {
  box.replaceChildren(
    ...Object.entries(charts).map(([name, svg]) => {
      const figure = document.createElement("figure");
      const title = document.createElement("figcaption");
      title.textContent = texts[name];
      const picture = new Image();
      picture.alt = texts[name];
      picture.src = `data:image/svg+xml,${encodeURIComponent(svg)}`;
      figure.append(title, picture);
      return figure;
    }),
  );
}

function cell(text) {
  const made = document.createElement("td");
  made.textContent = text;
  return made;
}
