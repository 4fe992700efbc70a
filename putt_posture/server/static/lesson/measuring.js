/* How far measuring is: steps, share and time left, until it has ended. */

import { followWork } from "/static/work.js";

const part = document.querySelector("#measuring");
const bar = part.querySelector("progress");
const what = part.querySelector(".what");
const left = part.querySelector(".left");

followWork(part.dataset.work, (work) => {
  if (["done", "failed", "cancelled", "unknown"].includes(work.state)) {
    location.replace(part.dataset.next); // the server knows where to go on
    return;
  }
  bar.value = work.share;
  const says = work.state === "waiting" ? part.dataset.waiting : work.what;
  if (says && says !== what.textContent) what.textContent = says;
  left.textContent = work.left_s === null ? "" : part.dataset.left.replace("{seconds}", work.left_s);
});
