// Big buttons for a practice test on the green. They only fill the fields of the form, which works without them.

const sheet = document.querySelector(".sheet-of-putts");

function button(text, kind, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = kind;
  made.textContent = text;
  made.addEventListener("click", act);
  return made;
}

for (const putt of sheet.querySelectorAll(".putt")) {
  const [holed, tried] = putt.querySelectorAll("input");
  const tally = putt.querySelector(".tally");
  const done = [];

  function say() {
    const counts = { holed: Number(holed.value) || 0, tried: Number(tried.value) || 0 };
    tally.textContent = sheet.dataset.says.replace("{holed}", counts.holed).replace("{tried}", counts.tried);
  }

  function count(isHoled) {
    done.push([holed.value, tried.value]);
    tried.value = (Number(tried.value) || 0) + 1;
    holed.value = (Number(holed.value) || 0) + (isHoled ? 1 : 0);
    say();
  }

  const taps = document.createElement("div");
  taps.className = "taps";
  taps.append(
    button(sheet.dataset.holed, "holed", () => count(true)),
    button(sheet.dataset.missed, "missed", () => count(false)),
    button(sheet.dataset.undo, "undo", () => {
      if (done.length) [holed.value, tried.value] = done.pop();
      say();
    }),
  );
  for (const each of taps.children) each.setAttribute("aria-describedby", putt.querySelector("h3").id);
  putt.append(taps);
  for (const field of [holed, tried]) field.addEventListener("input", say);
}
