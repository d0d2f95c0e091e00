// The page's address holds everything that is set. Browsers limit how often it may change (some
// by refusing), so a run of changes is written once it pauses, and before the page is left.

const PAUSE_MS = 250;

export class Address {
  constructor() {
    window.addEventListener("pagehide", () => this.flush());
  }

  /** Show a query, a moment later. */
  show(query) {
    this.query = query;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), PAUSE_MS);
  }

  /** Show at once what is still to be shown. */
  flush() {
    clearTimeout(this.timer);
    if (this.query === undefined) return;
    const tail = this.query ? `?${this.query}` : "";
    this.query = undefined;
    window.history.replaceState(window.history.state, "", window.location.pathname + tail);
  }
}
