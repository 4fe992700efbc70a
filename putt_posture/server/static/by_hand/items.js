/* The points of one view that can be dragged, and how a place of one becomes a part of what is given.

An item is {id, name, part, at, found, byHand}. Its id says what it is: "joint left_hip", "shaft 0" (butt), "shaft 1"
(sole), "ball", "ground", "length 0", "length 1", "target 0", "target 1", "back 3". */

const same = (one, two) => one && two && one[0] === two[0] && one[1] === two[1];

/** Return the items of a view: `seen` is what never changes, `now` where everything is after the last measuring. */
export function itemsOf(seen, now, given, texts) {
  const items = [];
  const placed = new Map(given.landmarks.map((each) => [each.landmark, each.point_px]));
  for (const [name, title] of Object.entries(seen.names)) {
    const at = placed.get(name) ?? now.points[name];
    if (at) {
      items.push({
        id: `joint ${name}`, name: title, part: seen.parts[name], at, found: seen.found.points[name],
        byHand: placed.has(name), spread: now.spread[name],
      });
    }
  }
  const shaft = given.shaft_px ?? now.shaft;
  if (shaft) {
    shaft.forEach((at, end) => {
      items.push({
        id: `shaft ${end}`, name: end ? texts.sole : texts.butt, part: "club", at, found: seen.found.shaft?.[end],
        byHand: Boolean(given.shaft_px),
      });
    });
  }
  const ball = given.ball_px ?? now.ball;
  if (ball) items.push({ id: "ball", name: texts.ball, part: "club", at: ball, found: seen.found.ball, byHand: Boolean(given.ball_px) });
  const ground = given.ground_px ?? middle(now.marks.ground);
  if (ground) items.push({ id: "ground", name: texts.ground, part: "legs", at: ground, found: middle(seen.found.marks.ground), byHand: Boolean(given.ground_px) });
  (given.scale_object?.[1] ?? []).forEach((at, end) => {
    items.push({ id: `length ${end}`, name: `${texts.length} ${end + 1}`, part: "scale", at, found: null, byHand: true });
  });
  (given.target_px ?? []).forEach((at, end) => {
    items.push({ id: `target ${end}`, name: `${texts.target} ${end + 1}`, part: "scale", at, found: null, byHand: true });
  });
  (given.back_px ?? []).forEach((at, place) => {
    items.push({ id: `back ${place}`, name: `${texts.back} ${place + 1}`, part: "trunk", at, found: null, byHand: true });
  });
  return items;
}

/** Return what is given with an item at another place; `items` are all of the view. */
export function withPlace(given, item, at, items) {
  const [kind, which] = item.id.split(" ");
  const place = [round(at[0]), round(at[1])];
  if (kind === "joint") {
    const others = given.landmarks.filter((each) => each.landmark !== which);
    return { ...given, landmarks: [...others, { landmark: which, point_px: place, time_s: null }] };
  }
  if (kind === "ball") return { ...given, ball_px: place };
  if (kind === "ground") return { ...given, ground_px: place };
  const moved = (points) => points.map((each, number) => (number === Number(which) ? place : each));
  if (kind === "shaft") {
    const ends = given.shaft_px ?? ["shaft 0", "shaft 1"].map((id) => items.find((each) => each.id === id).at);
    return { ...given, shaft_px: moved(ends) };
  }
  if (kind === "length") return { ...given, scale_object: [given.scale_object[0], moved(given.scale_object[1])] };
  if (kind === "target") return { ...given, target_px: moved(given.target_px) };
  return { ...given, back_px: moved(given.back_px) };
}

/** Return what is given without an item, which is then as found. */
export function withoutItem(given, item) {
  const [kind, which] = item.id.split(" ");
  if (kind === "joint") return { ...given, landmarks: given.landmarks.filter((each) => each.landmark !== which) };
  const field = { shaft: "shaft_px", ball: "ball_px", ground: "ground_px", length: "scale_object", target: "target_px", back: "back_px" }[kind];
  return { ...given, [field]: field === "back_px" ? [] : null };
}

/** Return the nearest item within a distance, in pixels of the picture; of two at one place the chosen one. */
export function nearest(items, at, reach, chosen) {
  let found = null;
  let least = reach;
  for (const item of items) {
    const away = Math.hypot(item.at[0] - at[0], item.at[1] - at[1]) * (item.id === chosen ? 0.8 : 1);
    if (away <= least) {
      found = item;
      least = away;
    }
  }
  return found;
}

/** Return whether nothing is given. */
export function isNothing(given, nothing) {
  return JSON.stringify(given) === JSON.stringify(nothing);
}

/** Return some points spread evenly along a line. */
export function spread(line, count) {
  const known = line.filter(Boolean);
  if (known.length < 2) return [];
  return Array.from({ length: count }, (_, number) => known[Math.round((number * (known.length - 1)) / (count - 1))]);
}

function middle(line) {
  if (!line || line.length < 2 || !line[0] || !line[1] || same(line[0], line[1])) return null;
  return [(line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2];
}

const round = (value) => Math.round(value * 100) / 100;
