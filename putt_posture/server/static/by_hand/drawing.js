/* Draws the still, what was found in it, and the wanted setup. It draws what it is given and works nothing out. */

const FOUND = "#ffffff";
const DARK = "#101416";

/** Draw all of a view. `sight` says which part, `scene` is {image, box, items, chosen, limbs, marks, ghost, colours}. */
export function draw(context, sight, scene, ratio = 1) {
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.clearRect(0, 0, sight.width, sight.height);
  if (scene.image) {
    const [left, top, right, bottom] = scene.box;
    const [x, y] = sight.toScreen([left, top]);
    context.imageSmoothingQuality = "high";
    context.drawImage(scene.image, x, y, (right - left) * sight.scale, (bottom - top) * sight.scale);
  }
  if (scene.ghost) drawGhost(context, sight, scene.ghost);
  const at = new Map(scene.items.map((item) => [item.id, item.at]));
  for (const [one, two] of scene.limbs) {
    if (at.has(`joint ${one}`) && at.has(`joint ${two}`)) {
      line(context, sight, [at.get(`joint ${one}`), at.get(`joint ${two}`)], "rgba(255,255,255,.55)", 1.5);
    }
  }
  const colours = scene.colours;
  line(context, sight, scene.marks.back ?? [], colours.trunk, 2.5);
  line(context, sight, scene.marks.spine ?? [], colours.trunk, 2, [6, 4]);
  line(context, sight, scene.marks.ground ?? [], colours.legs, 2, [8, 5]);
  line(context, sight, scene.marks.balance ?? [], colours.balance ?? colours.legs, 1.5, [2, 4]);
  line(context, sight, pair(at, "shaft"), colours.club, 3);
  line(context, sight, pair(at, "length"), FOUND, 3, [10, 4]);
  line(context, sight, pair(at, "target"), FOUND, 2, [14, 6]);
  line(context, sight, scene.items.filter((item) => item.id.startsWith("back ")).map((item) => item.at), colours.trunk, 3);
  for (const item of scene.items) drawItem(context, sight, item, item.id === scene.chosen, colours[item.part] ?? FOUND);
}

function drawItem(context, sight, item, chosen, colour) {
  const [x, y] = sight.toScreen(item.at);
  if (chosen && item.spread) {
    context.beginPath();
    context.ellipse(x, y, Math.max(item.spread[0] * sight.scale * 1.96, 1), Math.max(item.spread[1] * sight.scale * 1.96, 1), 0, 0, 2 * Math.PI);
    context.strokeStyle = "rgba(255,255,255,.6)";
    context.lineWidth = 1;
    context.stroke();
  }
  if (item.byHand && item.found) line(context, sight, [item.found, item.at], FOUND, 1, [3, 3]);
  const size = chosen ? 7 : 5;
  context.beginPath();
  // A point by hand is a square, so that it is told apart without its colour.
  if (item.byHand) context.rect(x - size, y - size, 2 * size, 2 * size);
  else context.arc(x, y, size, 0, 2 * Math.PI);
  context.fillStyle = colour;
  context.fill();
  context.lineWidth = 3;
  context.strokeStyle = DARK;
  context.stroke();
  context.lineWidth = 1.5;
  context.strokeStyle = FOUND;
  context.stroke();
  if (chosen) {
    context.beginPath();
    context.arc(x, y, 14, 0, 2 * Math.PI);
    context.lineWidth = 2;
    context.stroke();
  }
}

function drawGhost(context, sight, ghost) {
  context.save();
  for (const outline of ghost.outlines) {
    trace(context, sight, outline);
    context.closePath();
    context.fillStyle = "rgba(255,255,255,.3)";
    context.fill("evenodd");
    context.lineWidth = 2;
    context.strokeStyle = FOUND;
    context.stroke();
  }
  context.restore();
  line(context, sight, ghost.putter, FOUND, 3);
  line(context, sight, ghost.head, FOUND, 6);
  const [x, y] = sight.toScreen(ghost.ball);
  context.beginPath();
  context.arc(x, y, ghost.radius * sight.scale, 0, 2 * Math.PI);
  context.lineWidth = 2;
  context.strokeStyle = FOUND;
  context.stroke();
}

/** Draw a line with a dark edge, so that it shows on light and dark. */
function line(context, sight, points, colour, width, dashes = []) {
  if (points.length < 2) return;
  context.lineJoin = "round";
  context.setLineDash(dashes);
  trace(context, sight, points);
  context.lineWidth = width + 2;
  context.strokeStyle = "rgba(16,20,22,.55)";
  context.stroke();
  context.lineWidth = width;
  context.strokeStyle = colour;
  context.stroke();
  context.setLineDash([]);
}

function trace(context, sight, points) {
  context.beginPath();
  let drawn = false;
  for (const point of points) {
    if (!point) {
      drawn = false;
      continue;
    }
    const [x, y] = sight.toScreen(point);
    if (drawn) context.lineTo(x, y);
    else context.moveTo(x, y);
    drawn = true;
  }
}

function pair(at, kind) {
  const ends = [at.get(`${kind} 0`), at.get(`${kind} 1`)];
  return ends[0] && ends[1] ? ends : [];
}
