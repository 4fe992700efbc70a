/* Holding: the full-size pictures of the last still moment go into the lesson, are checked and measured. */

const LOOK_MS = 400;
const PATIENCE_MS = 60000;

/** The pictures and what the program needs to know of them, in one body; see `live_exchange` in the program. */
export async function pack(held, about) {
  const pictures = await Promise.all(held.map(({ jpeg }) => jpeg.arrayBuffer()));
  const told = new TextEncoder().encode(
    JSON.stringify({ ...about, times_ms: held.map(({ time }) => time), sizes: pictures.map((each) => each.byteLength) }),
  );
  const head = new DataView(new ArrayBuffer(4));
  head.setUint32(0, told.byteLength, true);
  return new Blob([head.buffer, told, ...pictures]);
}

/** Send what was held and wait until the program has checked it. Throws what the program says against it. */
export async function keep(draft, body) {
  const asked = { method: "POST", body, headers: { accept: "application/json" } };
  const { upload } = await read(await fetch(`/lessons/${draft}/live/hold`, asked));
  const until = performance.now() + PATIENCE_MS;
  for (;;) {
    const status = await read(await fetch(`/uploads/${upload}`, { headers: { accept: "application/json" } }));
    if (status.state === "whole") return;
    if (status.state === "refused" || performance.now() > until) throw new Error(status.says.join(" "));
    await new Promise((go) => setTimeout(go, LOOK_MS));
  }
}

/** Have the lesson measured, and go where its progress is shown. */
export function measure(draft) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = `/lessons/${draft}/measure`;
  document.body.append(form);
  form.submit();
}

async function read(answer) {
  const told = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(told.says ?? `${answer.status} ${answer.statusText}`);
  return told;
}
