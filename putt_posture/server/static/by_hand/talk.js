/* Talks to the program: the newest of what is to be measured is sent, and only the answer to the newest is told. */

export class Talk {
  constructor(address, texts, tell) {
    this.address = address;
    this.texts = texts;
    this.tell = tell;
    this.waiting = null;
    this.busy = false;
    this.times = {}; // clip times that were chosen, by view
  }

  where(what) {
    const chosen = Object.entries(this.times).map(([view, time]) => `at=${view}:${time}`);
    return `${this.address}/${what}${chosen.length ? `?${chosen.join("&")}` : ""}`;
  }

  async load() {
    let answer;
    try {
      answer = await fetch(this.where("found"), { headers: { accept: "application/json" } });
    } catch {
      throw new Error(this.texts.lost);
    }
    return read(answer, this.texts);
  }

  /** Measure; `tell({answer})` or `tell({says})` follows, unless something newer is measured before. */
  async measure(given) {
    this.waiting = given;
    if (this.busy) return;
    this.busy = true;
    while (this.waiting !== null) {
      const sent = this.waiting;
      this.waiting = null;
      let told;
      try {
        told = { answer: await this.post("measure", sent), given: sent };
      } catch (error) {
        told = { says: error.message, given: sent };
      }
      if (this.waiting === null) this.tell(told);
    }
    this.busy = false;
  }

  keep(given) {
    return this.post("keep", given);
  }

  async post(what, given) {
    let answer;
    try {
      answer = await fetch(this.where(what), {
        method: "POST",
        headers: { "content-type": "application/json", accept: "application/json" },
        body: JSON.stringify({ given }),
      });
    } catch {
      throw new Error(this.texts.lost);
    }
    return read(answer, this.texts);
  }
}

async function read(answer, texts) {
  const said = await answer.json().catch(() => ({ says: texts.lost }));
  if (!answer.ok) throw new Error(said.says ?? texts.lost);
  return said;
}
