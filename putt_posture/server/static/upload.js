/* Sends a clip in pieces, goes on after errors, a lost network, and a page that was loaded again.

   const sending = sendClip(file, { draft, view, tell: ({ state, offset, size, says }) => … });
   sending.cancel();

   States: "sending", "waiting" (no network, or the server does not answer: it goes on by itself), "checking", "whole",
   "refused", "cancelled". `says` holds sentences of the server. It shows nothing by itself. */

const PIECE = 8 * 1024 * 1024;
const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 15000;
const LOOK_MS = 400;
const JSON_ONLY = { accept: "application/json" };

/** What the server refused for good. */
class Refused extends Error {}

/** What may go better in a moment; `says` is a sentence of the server, or empty where the network is lost. */
class NotNow extends Error {
  constructor(says = "") {
    super(says || "lost");
    this.says = says;
  }
}

/**
 * @param {File} file
 * @param {{draft: string, view: string, tell: (how: {state: string, offset: number, size: number, says: string[]}) => void}} how
 * @returns {{done: Promise<{state: string, says: string[]}>, cancel: () => Promise<void>}}
 */
export function sendClip(file, { draft, view, tell }) {
  const key = `upload ${draft} ${view} ${file.name} ${file.size} ${file.lastModified}`;
  const stop = new AbortController();
  let id = remembered(key);
  let offset = 0;

  const say = (state, says = []) => {
    tell({ state, offset, size: file.size, says });
    return { state, says };
  };

  const done = (async () => {
    let wait = FIRST_WAIT_MS;
    say("sending");
    for (;;) {
      try {
        id ??= await announce(file, draft, view, stop.signal);
        remember(key, id);
        const status = await ask(id, stop.signal);
        if (status === null) { // not known any more: begin again
          id = null;
          remember(key, null);
          continue;
        }
        ({ offset } = status);
        if (status.state === "whole" || status.state === "refused") {
          remember(key, null);
          return say(status.state, status.says);
        }
        if (status.state === "checking") {
          say("checking");
          await pause(LOOK_MS, stop.signal);
          continue;
        }
        say("sending");
        while (offset < file.size) {
          const moved = await sendPiece(file, id, offset, stop.signal, (sent) => {
            tell({ state: "sending", offset: offset + sent, size: file.size, says: [] });
          });
          if (moved === null) break; // the server holds another offset: ask for it
          offset = moved;
          wait = FIRST_WAIT_MS;
          say("sending");
        }
      } catch (error) {
        if (stop.signal.aborted) return say("cancelled");
        if (error instanceof Refused) {
          remember(key, null);
          return say("refused", [error.message]);
        }
        say("waiting", error.says ? [error.says] : []);
        await networkOrTime(wait, stop.signal).catch(() => {});
        if (stop.signal.aborted) return say("cancelled");
        wait = Math.min(LONGEST_WAIT_MS, wait * 2);
      }
    }
  })();

  return {
    done,
    async cancel() {
      stop.abort();
      remember(key, null);
      if (id) await fetch(`/uploads/${id}`, { method: "DELETE", headers: JSON_ONLY }).catch(() => {});
    },
  };
}

async function announce(file, draft, view, signal) {
  const answer = await fetch("/uploads", {
    method: "POST",
    signal,
    headers: { "content-type": "application/json", ...JSON_ONLY },
    body: JSON.stringify({ draft, view, size: file.size, name: file.name }),
  });
  await check(answer);
  return (await answer.json()).id;
}

async function ask(id, signal) {
  const answer = await fetch(`/uploads/${id}`, { signal, headers: JSON_ONLY });
  if (answer.status === 404) return null;
  await check(answer);
  return answer.json();
}

/* XMLHttpRequest, since fetch does not say how much of a body was sent. */
function sendPiece(file, id, offset, signal, progress) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    const lost = () => reject(new NotNow());
    const abort = () => request.abort();
    signal.addEventListener("abort", abort);
    request.addEventListener("loadend", () => signal.removeEventListener("abort", abort));
    request.upload.addEventListener("progress", (event) => progress(event.loaded));
    request.addEventListener("error", lost);
    request.addEventListener("abort", lost);
    request.addEventListener("timeout", lost);
    request.addEventListener("load", () => {
      if (request.status === 204) resolve(Number(request.getResponseHeader("upload-offset")));
      else if (request.status === 409 || request.status === 404) resolve(null);
      else if (isForGood(request.status)) reject(new Refused(sentence(request.responseText)));
      else reject(new NotNow(sentence(request.responseText)));
    });
    request.open("PATCH", `/uploads/${id}`);
    request.setRequestHeader("accept", "application/json");
    request.setRequestHeader("content-type", "application/offset+octet-stream");
    request.setRequestHeader("upload-offset", String(offset));
    request.setRequestHeader("tus-resumable", "1.0.0");
    request.timeout = 120000;
    request.send(file.slice(offset, offset + PIECE));
  });
}

async function check(answer) {
  if (answer.ok) return;
  if (isForGood(answer.status)) throw new Refused(sentence(await answer.text()));
  throw new NotNow(sentence(await answer.text()));
}

function isForGood(status) {
  return status >= 400 && status < 500 && ![408, 409, 423, 425, 429].includes(status);
}

function sentence(text) {
  try {
    return JSON.parse(text).says ?? "";
  } catch {
    return text.slice(0, 300);
  }
}

function pause(ms, signal) {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(resolve, ms);
    signal.addEventListener("abort", () => { clearTimeout(timer); reject(new Error("cancelled")); }, { once: true });
  });
}

/* Wait for a time, or until the network is back. */
function networkOrTime(ms, signal) {
  const back = new Promise((resolve) => { addEventListener("online", resolve, { once: true }); });
  return Promise.race([back, pause(ms, signal)]);
}

function remembered(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null; // a private window may refuse it
  }
}

function remember(key, id) {
  try {
    if (id === null) localStorage.removeItem(key);
    else localStorage.setItem(key, id);
  } catch { /* it then begins again after the page was loaded again */ }
}
