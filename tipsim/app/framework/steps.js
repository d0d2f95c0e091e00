// Steps back and forward: those of the browser's own history where the page has it for itself, else
// those that the server keeps (in a lesson, in a frame).

const PENDING = "tipsim-pending";
const FRESH_MS = 30_000;

export class Steps {
  /** @param {any} form */
  constructor(form) {
    this.form = form;
    this.count = 0;
    this.own = form.model.copies && window.self === window.top;
    if (!this.own) return;
    window.addEventListener("popstate", () => this.moved());
    window.addEventListener("pagehide", () => this.note());
    window.addEventListener("tipsim:step", (/** @type {any} */ event) => this.go(event.detail));
  }

  /** Whether the browser can go back or forward within this page. @param {string} way */
  can(way) {
    return this.own && (way === "undo" ? this.form.address.canUndo : this.form.address.canRedo);
  }

  /** One step back or forward. @param {"undo" | "redo"} way */
  go(way) {
    if (!this.can(way)) return this.form.send(way);
    if (way === "undo") window.history.back();
    else window.history.forward();
  }

  /** The browser went to another step: the server goes there too. */
  moved() {
    const { form } = this;
    const query = window.location.search.replace(/^\?/, "");
    if (query === this.link) return;
    form.address.drop();
    form.messenger.waiting.clear();
    form.send("link", query);
  }

  /** Go to the settings of a link, as one step. @param {string} query */
  to(query) {
    if (this.own) this.form.address.step(query);
    this.form.messenger.waiting.clear();
    this.form.send("link", query);
  }

  /** Show the link of an answer. @param {{link: string, step?: number}} reply */
  show({ link, step = this.count }) {
    const grown = step > this.count;
    this.count = step;
    // While the browser's history is on its way to another step, this link belongs to none.
    if (this.form.messenger.open("link")) return;
    this.link = link;
    this.form.address.show(link, grown);
  }

  // ---- a reload, before a change was answered or its link written ----

  /** Note what the address does not say yet. */
  note() {
    const { late } = this.form.address;
    const link = late === undefined ? [] : [{ side: "both", field: "link", value: late }];
    const changes = [...link, ...this.form.messenger.unanswered()];
    try {
      if (!changes.length) sessionStorage.removeItem(PENDING);
      else {
        const { pathname } = window.location;
        sessionStorage.setItem(PENDING, JSON.stringify({ pathname, at: Date.now(), changes }));
      }
    } catch {
      // Without storage the last change of a hasty reload is lost.
    }
  }

  /** Once, when the page is there: what was changed just before it was opened again. */
  resume() {
    if (!this.own) return;
    const [{ type } = { type: "" }] = /** @type {any[]} */ (performance.getEntriesByType("navigation"));
    const noted = taken();
    if (type !== "reload" || noted?.pathname !== window.location.pathname) return;
    if (Date.now() - noted.at > FRESH_MS) return;
    for (const { side, field, value } of noted.changes) {
      this.form.messenger.change(field === "link" ? "link" : `${side}:${field}`, side, field, value);
    }
  }
}

/** What was noted, once. */
function taken() {
  try {
    return JSON.parse(sessionStorage.getItem(PENDING) ?? "null");
  } catch {
    return null;
  } finally {
    sessionStorage.removeItem(PENDING);
  }
}
