// Changes on their way to the server. One message at a time: the next one leaves when the answer to
// the last has come. All parts of a page share one order: whatever one of them sends, what another
// has set before it and still holds leaves first. Else a choice made just after a drag would be
// overtaken by the drag's last value.

/** After this long without an answer it is asked whether the server is still there. */
const PATIENCE_MS = 4000;

/** @type {Set<Messenger>} those of this page */
const all = new Set();

/**
 * Send a message at once, after all that was set before it in any part of the page.
 * @param {any} model
 * @param {Record<string, any>} message
 */
export function tell(model, message) {
  for (const each of all) each.hurry();
  model.send_msg(message);
}

export class Messenger {
  /**
   * @param {any} model
   * @param {"seq" | "n"} number what the number of a message is called: "seq" for the form, whose
   *   answer is the page's; "n" for another part, which has an answer of its own
   * @param {(on: boolean) => void} busy hears whether something is still on its way
   */
  constructor(model, number, busy = () => {}) {
    this.model = model;
    this.number = number;
    this.busy = busy;
    this.sent = 0;
    this.answered = 0;
    this.waiting = new Map();
    this.left = new Map();
    /** @type {any[]} the changes that the last message carried */
    this.under = [];
    /** @type {(() => void)[]} */
    this.whenIdle = [];
    /** @type {any} changes of one gesture are one step for "Undo"; null: each is a step of its own */
    this.gesture = 0;
    all.add(this);
  }

  /** What comes now is another step for "Undo" than what was before, as a slider was let go. */
  nextStep() {
    this.gesture += 1;
  }

  /** Whether a change of a control is not answered yet: what the server says of it is older. @param {string} id */
  open(id) {
    return this.waiting.has(id) || (this.left.get(id) ?? 0) > this.answered;
  }

  /** Whether an answer is the one to the last change of a control. @param {string} id @param {number} [number] */
  isAnswer(id, number) {
    return !this.waiting.has(id) && this.left.get(id) === number;
  }

  /** Changes that no answer has come to. */
  unanswered() {
    return [...(this.sent > this.answered ? this.under : []), ...this.waiting.values()];
  }

  get idle() {
    return !this.waiting.size && this.sent === this.answered;
  }

  /**
   * A newer value of the same control takes the place of one that has not left yet.
   * @param {string} id
   * @param {string} side
   * @param {string} field
   * @param {any} value
   */
  change(id, side, field, value) {
    for (const each of all) if (each !== this) each.hurry();
    this.waiting.set(id, { side, field, value, gesture: this.gesture });
    this.busy(true);
    this.flush();
  }

  /** Resolves once all that was changed has been answered, by other parts of the page too. */
  settled() {
    const done = new Promise((resolve) => this.whenIdle.push(() => resolve(undefined)));
    this.asked = true;
    this.flush();
    return done;
  }

  /** What waits or is under way will not be answered: the server is gone. */
  giveUp() {
    all.delete(this);
    this.waiting.clear();
    clearTimeout(this.patience);
    this.lost = true;
  }

  /** @param {number} number of the message that was answered */
  heard(number) {
    this.answered = Math.max(this.answered, number);
    if (this.answered === this.sent) clearTimeout(this.patience);
  }

  /** Another part of the page sends: what waits here was set before that, so it leaves first. */
  hurry() {
    if (!this.lost && this.waiting.size) this.leave();
  }

  leave() {
    const changes = [...this.waiting.values()];
    this.under = [...(this.sent > this.answered ? this.under : []), ...changes];
    this.sent += 1;
    for (const id of this.waiting.keys()) this.left.set(id, this.sent);
    this.waiting.clear();
    this.asked = false;
    this.model.send_msg({ [this.number]: this.sent, changes });
    clearTimeout(this.patience);
    this.patience = setTimeout(() => window.dispatchEvent(new Event("tipsim:unanswered")), PATIENCE_MS);
  }

  flush() {
    if (this.lost) return;
    if (this.sent === this.answered && (this.waiting.size || this.asked)) this.leave();
    this.busy(!this.idle);
    if (this.idle) for (const done of this.whenIdle.splice(0)) done();
  }
}
