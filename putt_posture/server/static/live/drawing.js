/* The camera's picture with joints, plumb line and the way of the hands. Points are pixels of the followed picture. */

const LIMBS = [
  [11, 12], [11, 13], [13, 15], [12, 14], [14, 16], [11, 23], [12, 24], [23, 24],
  [23, 25], [25, 27], [24, 26], [26, 28], [27, 29], [29, 31], [27, 31], [28, 30], [30, 32], [28, 32], [7, 11], [8, 12],
];
const TRAIL_MS = 4000;

export class Drawing {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    this.way = [];
    this.showsWay = true;
  }

  size(width, height) {
    this.canvas.width = width;
    this.canvas.height = height;
  }

  /** Draw the newest picture and what was seen last. */
  show(video, seen) {
    const pen = this.canvas.getContext("2d", { alpha: false });
    pen.drawImage(video, 0, 0, this.canvas.width, this.canvas.height);
    if (!seen) return;
    const unit = this.canvas.height / 480;
    pen.lineCap = pen.lineJoin = "round";
    if (seen.points) {
      if (seen.plumb) this.line(pen, seen.plumb, { colour: "#ffe14d", width: 2.5 * unit, dash: [8 * unit, 6 * unit] });
      for (const [start, end] of LIMBS) this.line(pen, [seen.points[start], seen.points[end]], { colour: "#ffffff", width: 3 * unit });
      for (const point of seen.points.slice(11)) this.dot(pen, point, 3.2 * unit);
    }
    if (this.showsWay) this.drawWay(pen, seen, unit);
  }

  /** Take in where the hands are. */
  follow(seen) {
    if (seen.hands) this.way.push({ time: seen.t, at: seen.hands });
    this.way = this.way.filter(({ time }) => seen.t - time < TRAIL_MS);
  }

  forgetWay() {
    this.way = [];
  }

  drawWay(pen, seen, unit) {
    for (let index = 1; index < this.way.length; index += 1) {
      const [before, now] = [this.way[index - 1], this.way[index]];
      if (now.time - before.time > 300) continue;
      pen.globalAlpha = 1 - (seen.t - now.time) / TRAIL_MS;
      this.line(pen, [before.at, now.at], { colour: "#46a0ff", width: 4 * unit });
    }
    pen.globalAlpha = 1;
  }

  line(pen, points, { colour, width, dash = [] }) {
    if (points.some((point) => !point || point[0] < 0 || point[1] < 0)) return;
    pen.setLineDash(dash);
    for (const [stroke, wide] of [["#000000", width + 2], [colour, width]]) {
      pen.strokeStyle = stroke;
      pen.lineWidth = wide;
      pen.beginPath();
      points.forEach((point, index) => (index ? pen.lineTo(point[0], point[1]) : pen.moveTo(point[0], point[1])));
      pen.stroke();
    }
    pen.setLineDash([]);
  }

  dot(pen, point, radius) {
    if (point[0] < 0 || point[1] < 0) return;
    pen.beginPath();
    pen.arc(point[0], point[1], radius, 0, 2 * Math.PI);
    pen.fillStyle = "#000000";
    pen.fill();
    pen.beginPath();
    pen.arc(point[0], point[1], 0.65 * radius, 0, 2 * Math.PI);
    pen.fillStyle = "#ffffff";
    pen.fill();
  }
}
