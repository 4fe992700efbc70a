/* The camera: its choice, its frames in a size for following, and the last second of them in full size. */

const FOLLOWED_HEIGHT = 480;
const FULL = { width: { ideal: 1280 }, height: { ideal: 720 }, frameRate: { ideal: 30 } };
const QUALITY = 0.8;
const KEPT_MS = 1500;
const KEPT_EVERY_MS = 120;
const HELD_QUALITY = 0.95;

export class Camera {
  /** @param {HTMLVideoElement} video */
  constructor(video) {
    this.video = video;
    this.small = document.createElement("canvas");
    this.kept = [];
    this.stream = null;
  }

  /** Open a camera, the usual one without an id. */
  async open(id) {
    if (!navigator.mediaDevices?.getUserMedia) throw new DOMException("", "SecurityError");
    const which = id ? { deviceId: { exact: id } } : { facingMode: "environment" };
    this.stream = await navigator.mediaDevices.getUserMedia({ video: { ...FULL, ...which }, audio: false });
    this.video.srcObject = this.stream;
    await this.video.play();
    const scale = Math.min(1, FOLLOWED_HEIGHT / Math.min(this.video.videoHeight, this.video.videoWidth));
    this.small.width = Math.round(this.video.videoWidth * scale);
    this.small.height = Math.round(this.video.videoHeight * scale);
  }

  /** The cameras that there are; their names are known once one was allowed. */
  async list() {
    const found = await navigator.mediaDevices.enumerateDevices();
    return found.filter((each) => each.kind === "videoinput");
  }

  /** Call back with the time of every new frame until the camera is closed. */
  watch(frame) {
    const next = (now) => {
      if (!this.stream) return;
      this.keep(now);
      frame(now);
      this.ask(next);
    };
    this.ask(next);
  }

  ask(next) {
    if (this.video.requestVideoFrameCallback) this.video.requestVideoFrameCallback(next);
    else requestAnimationFrame(next);
  }

  /** The newest frame as JPEG, in the size for following. */
  read() {
    this.small.getContext("2d", { alpha: false }).drawImage(this.video, 0, 0, this.small.width, this.small.height);
    return new Promise((done) => this.small.toBlob(done, "image/jpeg", QUALITY));
  }

  /** Keep a full-size copy of some frames of the last moment, in this page's memory alone. */
  async keep(now) {
    const last = this.kept.at(-1);
    if (last && now - last.time < KEPT_EVERY_MS) return;
    const held = { time: now, picture: null };
    this.kept.push(held);
    held.picture = await createImageBitmap(this.video).catch(() => null);
    while (this.kept.length && now - this.kept[0].time > KEPT_MS) this.kept.shift().picture?.close();
  }

  /** The full-size frames between two times as JPEG. */
  async between(from, to) {
    const chosen = this.kept.filter(({ time, picture }) => picture && time >= from && time <= to);
    const canvas = document.createElement("canvas");
    const held = [];
    for (const { time, picture } of chosen) {
      if (!picture.width) continue;
      canvas.width = picture.width;
      canvas.height = picture.height;
      canvas.getContext("2d", { alpha: false }).drawImage(picture, 0, 0);
      const jpeg = await new Promise((done) => canvas.toBlob(done, "image/jpeg", HELD_QUALITY));
      held.push({ time, jpeg });
    }
    return held;
  }

  close() {
    this.stream?.getTracks().forEach((track) => track.stop());
    this.stream = null;
    this.kept.forEach(({ picture }) => picture?.close());
    this.kept = [];
    this.video.srcObject = null;
  }
}
