/* The steps of the rebuild with their numbers and marks. Rows stay in place and only their text changes. */

const SIGNS = { within: "✓", not_yet: "→", cannot_tell: "?" };

export class Steps {
  /** @param {HTMLOListElement} list  @param {DOMStringMap} words */
  constructor(list, words) {
    this.list = list;
    this.names = { within: words.within, not_yet: words.notYet, cannot_tell: words.cannotTell };
    this.words = words;
    this.chosen = null;
    this.shown = [];
  }

  /** @param {Array<object>} steps as the program sends them; those without a number in this view are left out */
  show(steps) {
    const shown = steps.filter((step) => step.numbers.some((number) => number.filmed));
    const names = shown.map((step) => `${step.name} ${step.numbers.map((each) => each.quantity)}`).join();
    if (names !== this.outline) {
      this.outline = names;
      this.list.replaceChildren(...shown.map((step) => this.row(step)));
    }
    this.shown = shown;
    shown.forEach((step, index) => this.fill(this.list.children[index], step));
    this.mark();
  }

  /** Go to the step after the one at hand, or before it. */
  go(by) {
    if (!this.shown.length) return;
    const at = this.shown.findIndex((step) => step.name === this.atHand());
    this.chosen = this.shown[(at + by + this.shown.length) % this.shown.length].name;
    this.mark();
  }

  /** The step that is shown alone from afar: the chosen one, or the first that is not yet within. */
  atHand() {
    if (this.shown.some((step) => step.name === this.chosen)) return this.chosen;
    return (this.shown.find((step) => step.mark === "not_yet") ?? this.shown[0])?.name;
  }

  mark() {
    const name = this.atHand();
    [...this.list.children].forEach((row) => row.classList.toggle("at-hand", row.dataset.name === name));
  }

  row(step) {
    const row = element("li", "");
    row.dataset.name = step.name;
    const body = element("div", "");
    const numbers = element("div", "live-numbers");
    step.numbers.forEach(() => {
      const line = element("div", "live-row");
      line.append(
        element("span", "live-title"), element("span", "live-mark"), element("span", "live-read"), element("span", "live-filmed"),
        element("span", "live-arrow", "→"), element("span", "live-read", this.words.wanted), element("span", "live-wanted"),
        element("span", "live-margin"),
      );
      line.querySelector(".live-arrow").setAttribute("aria-hidden", "true");
      numbers.append(line);
    });
    body.append(element("h2", "", step.title), element("p", "live-limits small"), numbers);
    const mark = element("span", "live-mark");
    mark.setAttribute("aria-hidden", "true");
    row.append(mark, body);
    return row;
  }

  fill(row, step) {
    sign(row.firstElementChild, step.mark);
    const limits = row.querySelector(".live-limits");
    text(limits, step.limits.length ? this.words.limits.replace("{parts}", step.limits.join(", ")) : "");
    step.numbers.forEach((number, index) => {
      const line = row.querySelectorAll(".live-row")[index];
      line.hidden = !number.filmed;
      line.dataset.quantity = number.quantity;
      line.dataset.value = number.value ?? "";
      const mark = line.querySelector(".live-mark");
      mark.setAttribute("aria-hidden", "true");
      sign(mark, number.mark);
      text(line.querySelector(".live-title"), number.title);
      text(line.querySelector(".live-read"), this.names[number.mark]);
      text(line.querySelector(".live-filmed"), number.filmed);
      text(line.querySelector(".live-wanted"), number.wanted);
      text(line.querySelector(".live-margin"), number.margin ? `± ${number.margin}` : "");
    });
  }
}

function element(kind, name, said = "") {
  const made = document.createElement(kind);
  if (name) made.className = name;
  made.textContent = said;
  return made;
}

function text(place, said) {
  if (place.textContent !== said) place.textContent = said;
}

function sign(place, mark) {
  text(place, SIGNS[mark]);
  const name = `live-mark ${mark}`;
  if (place.className !== name) place.className = name;
}
