// The page's address holds everything that is set. Browsers limit how often it may change (the
// strictest to 100 times in half a minute, by refusing), so it is written at once after a quiet
// moment, else as soon as the last time is long enough ago, and before the page is left.

const APART_MS = 400;

export class Address {
  constructor() {
    this.last = -Infinity;
    window.addEventListener("pagehide", () => this.flush());
  }

  /** Show a query as soon as may be; a newer one takes the place of one that still waits. */
  show(query) {
    this.query = query;
    clearTimeout(this.timer);
    const wait = this.last + APART_MS - performance.now();
    if (wait <= 0) this.flush();
    else this.timer = setTimeout(() => this.flush(), wait);
  }

  /** Show at once what is still to be shown. */
  flush() {
    clearTimeout(this.timer);
    if (this.query === undefined) return;
    const tail = this.query ? `?${this.query}` : "";
    this.query = undefined;
    this.last = performance.now();
    window.history.replaceState(window.history.state, "", window.location.pathname + tail);
  }
}
