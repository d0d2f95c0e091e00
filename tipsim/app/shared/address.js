// The page's address holds everything that is set. Browsers limit how often it may change (some
// by refusing), so the first of a run of changes is written at once, the rest when it pauses, and
// before the page is left.

const PAUSE_MS = 250;

export class Address {
  constructor() {
    window.addEventListener("pagehide", () => this.flush());
  }

  /** Show a query: at once, or when a run of changes has paused. */
  show(query) {
    const quiet = this.timer === undefined;
    this.query = query;
    clearTimeout(this.timer);
    if (quiet) this.write();
    this.timer = setTimeout(() => this.flush(), PAUSE_MS);
  }

  /** Show at once what is still to be shown. */
  flush() {
    clearTimeout(this.timer);
    this.timer = undefined;
    this.write();
  }

  write() {
    if (this.query === undefined) return;
    const tail = this.query ? `?${this.query}` : "";
    this.query = undefined;
    window.history.replaceState(window.history.state, "", window.location.pathname + tail);
  }
}
