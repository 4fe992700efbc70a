/* The connection to the program: frames go out, what was seen comes back.

   At most two frames are under way, so that one is worked on while the next arrives; older ones wait nowhere. */

const MOST_UNDER_WAY = 2;
const FORGOTTEN_MS = 3000;

export class Link {
  /** @param {string} address  @param {{tell: (seen: object) => void, ended: () => void}} to */
  constructor(address, { tell, ended }) {
    this.underWay = [];
    this.socket = new WebSocket(address);
    this.socket.binaryType = "arraybuffer";
    this.socket.addEventListener("message", ({ data }) => {
      const seen = JSON.parse(data);
      if (seen.t !== undefined) this.underWay = this.underWay.filter((time) => time > seen.t);
      tell(seen);
    });
    this.socket.addEventListener("close", ended);
  }

  /** Whether a frame may be sent now. */
  get isFree() {
    const now = performance.now();
    this.underWay = this.underWay.filter((time) => now - time < FORGOTTEN_MS);
    return this.socket.readyState === WebSocket.OPEN && this.underWay.length < MOST_UNDER_WAY;
  }

  /** @param {number} time_ms  @param {Blob} jpeg */
  async send(time_ms, jpeg) {
    this.underWay.push(time_ms);
    const head = new DataView(new ArrayBuffer(8));
    head.setFloat64(0, time_ms, true);
    const data = await new Blob([head.buffer, jpeg]).arrayBuffer();
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(data);
  }

  /** Choose the student anew, by a point or as the program does. */
  choose(at) {
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify({ choose: at }));
  }

  close() {
    this.socket.close();
  }
}
