/* Follows long work: how far it is, until it has ended, and cancels it. It shows nothing by itself. */

/**
 * Follow a piece of work.
 * @param {string} id
 * @param {(work: {id: string, state: string, what: string, share: number, left_s: number|null, says: string}) => void} tell
 *     Called whenever it is further; the last time with the state "done", "failed", "cancelled", or "unknown" where the
 *     program was started again since.
 * @returns {() => void} Stops following; the work goes on.
 */
export function followWork(id, tell) {
  const events = new EventSource(`/work/${id}/events`);
  events.addEventListener("work", (event) => {
    const work = JSON.parse(event.data);
    if (["done", "failed", "cancelled"].includes(work.state)) events.close();
    tell(work);
  });
  events.addEventListener("error", async () => {
    if (events.readyState !== EventSource.CLOSED) return; // a lost network: the browser tries again by itself
    const says = await fetch(`/work/${id}`, { headers: { accept: "application/json" } })
      .then((answer) => answer.json())
      .then((said) => said.says ?? "", () => "");
    tell({ id, state: "unknown", what: "", share: 0, left_s: null, says });
  });
  return () => events.close();
}

/**
 * Cancel a piece of work; resolved when nothing of it is left.
 * @param {string} id
 */
export async function cancelWork(id) {
  await fetch(`/work/${id}/cancel`, { method: "POST", headers: { accept: "application/json" } });
}
