/* What was given by hand, step by step: undo and redo. A step is never changed once it was made. */

const TOGETHER_MS = 900; // strokes of one key on one point within this time are one step

export class Steps {
  constructor(given) {
    this.past = [];
    this.now = given;
    this.future = [];
    this.last = { label: "", at: -Infinity };
  }

  /** Take a new state. `label` joins quick steps of the same kind, such as those of an arrow key. */
  take(given, label = "") {
    const at = performance.now();
    const joined = label !== "" && label === this.last.label && at - this.last.at < TOGETHER_MS;
    if (!joined) this.past.push(this.now);
    this.now = given;
    this.future = [];
    this.last = { label, at };
  }

  undo() {
    if (!this.past.length) return false;
    this.future.push(this.now);
    this.now = this.past.pop();
    this.last = { label: "", at: -Infinity };
    return true;
  }

  redo() {
    if (!this.future.length) return false;
    this.past.push(this.now);
    this.now = this.future.pop();
    this.last = { label: "", at: -Infinity };
    return true;
  }
}
