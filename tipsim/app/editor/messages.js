// Numbers as one types them, and the messages to the server.

/** A number as one types it: no more digits than it needs. */
export const plain = (value) => String(Number(value.toFixed(6)));

/** One message at a time: the next one leaves when the answer to the last has come. */
export class Messages {
  constructor(model) {
    this.model = model;
    this.sent = 0;
    this.answered = 0;
    this.waiting = [];
    this.whenIdle = [];
  }

  // A newer text of the same field takes the place of one that has not left yet.
  add(...changes) {
    for (const change of changes) {
      const same = change.do === "set" ? this.lastSet(change.field) : -1;
      if (same >= 0) this.waiting[same] = change;
      else this.waiting.push(change);
    }
    this.flush();
  }

  lastSet(field) {
    for (let i = this.waiting.length - 1; i >= 0 && this.waiting[i].do === "set"; i--) {
      if (this.waiting[i].field === field) return i;
    }
    return -1;
  }

  get idle() {
    return !this.waiting.length && this.sent === this.answered;
  }

  /** Resolves when everything that was changed has been answered. */
  settled() {
    return this.idle ? Promise.resolve() : new Promise((done) => this.whenIdle.push(done));
  }

  answer(seq) {
    this.answered = Math.max(this.answered, seq);
    this.flush();
    if (this.idle) for (const done of this.whenIdle.splice(0)) done();
  }

  flush() {
    if (!this.waiting.length || this.sent > this.answered) return;
    const changes = this.waiting.splice(0);
    this.sent += 1;
    this.model.send_msg({ seq: this.sent, changes });
  }
}
