/* Fingers, pen and mouse on the canvas: take a point and drag it, move the picture, zoom with two fingers or the wheel. */

const REACH = 24; // CSS pixels around a point in which it is taken: a target 48 px wide

/**
 * Listen to a canvas.
 * `act` has: sight(), take(at, reach) → whether a point was taken, drag(at, touch), drop(), cancel(), redraw().
 */
export function listen(canvas, act) {
  const fingers = new Map();
  let mode = ""; // "point", "pan" or "pinch"
  let grip = [0, 0]; // from the finger to the point, so that it does not jump under the finger

  const place = (event) => {
    const box = canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };

  canvas.addEventListener("pointerdown", (event) => {
    if (event.button > 0) return;
    canvas.setPointerCapture(event.pointerId);
    const at = place(event);
    fingers.set(event.pointerId, at);
    if (fingers.size === 2) {
      if (mode === "point") act.cancel();
      mode = "pinch";
    } else if (fingers.size === 1) {
      const sight = act.sight();
      const taken = act.take(sight.toPicture(at), REACH / sight.scale);
      mode = taken ? "point" : "pan";
      if (taken) {
        const [x, y] = sight.toScreen(taken.at);
        grip = [x - at[0], y - at[1]];
      }
    }
    event.preventDefault();
    canvas.focus({ preventScroll: true });
  });

  canvas.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const at = place(event);
    const sight = act.sight();
    if (mode === "point") {
      act.drag(sight.toPicture([at[0] + grip[0], at[1] + grip[1]]), event.pointerType === "touch");
    } else if (mode === "pan") {
      sight.pan(at[0] - before[0], at[1] - before[1]);
    } else if (mode === "pinch" && fingers.size === 2) {
      const other = [...fingers].find(([id]) => id !== event.pointerId)[1];
      const [was, now] = [before, at].map((each) => Math.hypot(each[0] - other[0], each[1] - other[1]));
      const middle = [(at[0] + other[0]) / 2, (at[1] + other[1]) / 2];
      sight.pan((at[0] - before[0]) / 2, (at[1] - before[1]) / 2);
      if (was > 0 && now > 0) sight.zoom(now / was, middle);
    }
    fingers.set(event.pointerId, at);
    act.redraw();
  });

  const lift = (event) => {
    if (!fingers.delete(event.pointerId)) return;
    if (mode === "point") {
      if (event.type === "pointerup") act.drop();
      else act.cancel();
    }
    mode = fingers.size === 1 ? "pan" : "";
    act.redraw();
  };
  canvas.addEventListener("pointerup", lift);
  canvas.addEventListener("pointercancel", lift);

  canvas.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      act.sight().zoom(Math.exp(-event.deltaY / 400), place(event));
      act.redraw();
    },
    { passive: false },
  );
}
