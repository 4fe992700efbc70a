/* Which part of the picture is seen: zoom and place. Pixels of the screen are CSS pixels. */

const MOST = 16;

export class Sight {
  constructor(size) {
    this.size = size;
    this.width = 1;
    this.height = 1;
    this.scale = 1;
    this.left = 0;
    this.top = 0;
    this.box = [0, 0, ...size];
  }

  /** Show a box of the picture as a whole. */
  showAll(box = this.box) {
    this.box = box;
    const [left, top, right, bottom] = box;
    this.scale = Math.min(this.width / (right - left), this.height / (bottom - top));
    this.left = (left + right) / 2 - this.width / this.scale / 2;
    this.top = (top + bottom) / 2 - this.height / this.scale / 2;
  }

  resize(width, height) {
    if (width === this.width && height === this.height) return;
    this.width = width;
    this.height = height;
    this.showAll();
  }

  toScreen([u, v]) {
    return [(u - this.left) * this.scale, (v - this.top) * this.scale];
  }

  toPicture([x, y]) {
    return [x / this.scale + this.left, y / this.scale + this.top];
  }

  /** Zoom so that what is under a point of the screen stays there. */
  zoom(factor, [x, y] = [this.width / 2, this.height / 2]) {
    const [u, v] = this.toPicture([x, y]);
    const [left, top, right, bottom] = this.box;
    const least = Math.min(this.width / (right - left), this.height / (bottom - top)) * 0.8;
    this.scale = Math.min(Math.max(this.scale * factor, least), MOST);
    this.left = u - x / this.scale;
    this.top = v - y / this.scale;
  }

  pan(dx, dy) {
    this.left -= dx / this.scale;
    this.top -= dy / this.scale;
  }

  /** Bring a point of the picture into sight where it is not. */
  reveal(at) {
    const [x, y] = this.toScreen(at);
    const edge = 30;
    if (x < edge) this.pan(edge - x, 0);
    if (x > this.width - edge) this.pan(this.width - edge - x, 0);
    if (y < edge) this.pan(0, edge - y);
    if (y > this.height - edge) this.pan(0, this.height - edge - y);
  }
}
