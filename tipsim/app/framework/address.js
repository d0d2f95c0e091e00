// The page's address holds everything that is set. Browsers limit how often it may change (the
// strictest to 100 times in half a minute, by refusing), so it is written at once after a quiet
// moment, else as soon as the last time is long enough ago, and before the page is left. Each step
// that can be taken back is a step of the browser's own history; in a frame that belongs to the page
// around it, so there the address is only replaced.

const APART_MS = 400;
const FRAMED = window.self !== window.top;

/** How many steps of this page lie before the one that is shown. */
const depth = () => window.history.state?.tipsim ?? 0;

export class Address {
  constructor() {
    this.last = -Infinity;
    // Steps forward again; unknown after a reload, when only the browser's own buttons know them.
    this.top = depth();
    // What a reload would not see any more: it has taken its address before it tells.
    this.late = undefined;
    window.addEventListener("pagehide", () => {
      this.late = this.query;
      this.flush();
    });
  }

  get canUndo() {
    return depth() > 0;
  }

  get canRedo() {
    return depth() < this.top;
  }

  /** Show a query as soon as may be; a newer one takes the place of one that still waits. */
  show(query, isStep = false) {
    if (isStep && !FRAMED) return this.step(query);
    this.query = query;
    clearTimeout(this.timer);
    const wait = this.last + APART_MS - performance.now();
    if (wait <= 0) this.flush();
    else this.timer = setTimeout(() => this.flush(), wait);
  }

  /** A new step, at once: what comes before it must stand in the step before. */
  step(query) {
    this.flush();
    this.top = depth() + 1;
    this.last = performance.now();
    window.history.pushState({ tipsim: this.top }, "", at(query));
  }

  /** Show at once what is still to be shown. */
  flush() {
    clearTimeout(this.timer);
    if (this.query === undefined) return;
    const address = at(this.query);
    this.query = undefined;
    this.last = performance.now();
    window.history.replaceState(window.history.state, "", address);
  }

  /** Forget what is still to be shown: another step is. */
  drop() {
    clearTimeout(this.timer);
    this.query = undefined;
  }
}

const at = (/** @type {string} */ query) =>
  window.location.pathname + (query ? `?${query}` : "") + window.location.hash;
