/* Shows what the program answered: findings, putter and the table of numbers. All texts come from the program. */

export function showFindings(place, findings, texts) {
  const parts = [];
  if (findings.lead) parts.push(element("p", findings.lead));
  if (findings.found.length) {
    const list = element("ol");
    for (const each of findings.found) {
      const entry = element("li");
      entry.append(element("strong", each.title));
      if (each.certainty === "likely") entry.append(" ", element("span", texts.likely, "badge"));
      if (each.change) entry.append(element("p", each.change));
      list.append(entry);
    }
    parts.push(list);
  } else if (!findings.lead) {
    parts.push(element("p", texts.no_findings));
  }
  place.replaceChildren(...parts);
}

export function showPutter(place, rows, texts) {
  const parts = [];
  for (const row of rows.filter((each) => each.part === "fit")) {
    const now = element("dd", row.now || texts.no_number);
    now.dataset.name = row.name;
    if (row.by_hand) now.append(" ", element("span", texts.by_hand, "badge"));
    parts.push(element("dt", row.title), now);
  }
  place.replaceChildren(...parts);
}

export function showTable(place, rows, texts) {
  place.replaceChildren(
    ...rows
      .filter((each) => each.part !== "fit")
      .map((row) => {
        const line = element("tr");
        line.dataset.name = row.name;
        if (row.value !== null) line.dataset.value = row.value;
        const title = element("th", row.title);
        title.scope = "row";
        const now = element("td", row.now || texts.no_number);
        if (row.by_hand) {
          line.classList.add("hand");
          now.append(" ", element("span", texts.by_hand, "badge"));
        }
        line.append(title, element("td", row.found || texts.no_number), now);
        return line;
      }),
  );
}

function element(kind, text = "", style = "") {
  const made = document.createElement(kind);
  if (text) made.textContent = text;
  if (style) made.className = style;
  return made;
}
