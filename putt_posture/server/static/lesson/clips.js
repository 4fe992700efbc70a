/* Clips of a lesson: filmed, chosen or dropped, sent in pieces, with what is said of them. */

import { sendClip } from "/static/upload.js";

const clips = document.querySelector(".clips");
const words = clips.dataset;
const sending = new Map();

for (const part of clips.querySelectorAll(".clip")) {
  for (const input of part.querySelectorAll("input[type=file]")) {
    input.addEventListener("change", () => {
      if (input.files.length) send(part, input.files[0]);
      input.value = "";
    });
  }
  part.addEventListener("dragover", (event) => {
    event.preventDefault();
    part.classList.add("over-it");
  });
  part.addEventListener("dragleave", () => part.classList.remove("over-it"));
  part.addEventListener("drop", (event) => {
    event.preventDefault();
    part.classList.remove("over-it");
    if (event.dataTransfer.files.length) send(part, event.dataTransfer.files[0]);
  });
}

/* A file that misses its place is not opened in place of the page. */
for (const kind of ["dragover", "drop"]) addEventListener(kind, (event) => event.preventDefault());

addEventListener("beforeunload", (event) => {
  if (sending.size) event.preventDefault();
});

async function send(part, file) {
  const { view } = part.dataset;
  sending.get(view)?.cancel();
  const arriving = part.querySelector(".arriving");
  const bar = arriving.querySelector("progress");
  const how = arriving.querySelector(".how");
  const refused = part.querySelector(".refused");
  refused.hidden = true;
  arriving.hidden = false;
  let said = "";
  const going = sendClip(file, {
    draft: words.draft,
    view,
    tell: ({ state, offset, size }) => {
      bar.value = size ? offset / size : 0;
      if (state === "checking") bar.removeAttribute("value");
      const says = (words[state] ?? "").replace("{name}", file.name);
      if (says !== said) how.textContent = said = says; // said aloud once, not with each piece
    },
  });
  sending.set(view, going);
  arriving.querySelector(".stop").onclick = () => going.cancel();
  const { state, says } = await going.done;
  if (sending.get(view) !== going) return;
  sending.delete(view);
  arriving.hidden = true;
  if (state === "refused") {
    refused.textContent = says.join(" ");
    refused.hidden = false;
  } else if (state === "whole") {
    const there = part.querySelector(".there");
    there.hidden = false;
    there.querySelector(".clip-name").textContent = file.name;
    there.querySelector(".clip-says").replaceChildren(...says.map((each) => {
      const line = document.createElement("li");
      line.textContent = each;
      return line;
    }));
    part.dataset.state = "whole";
    part.querySelector("h3").setAttribute("tabindex", "-1");
  }
}
