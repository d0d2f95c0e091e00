// A page at a glance: what a change has moved is marked, and a run can be pinned to compare with.

import { fill } from "./article.js";

const NONE = "–"; // a number that was not there yet has not moved
const APART_MS = 1200; // changes closer together, as of a drag, are one: marks compare with its start

export class Glance {
  /**
   * @param {any} model of the form
   * @param {(query: string) => void} go to the settings of a link
   */
  constructor(model, go) {
    this.section = /** @type {any} */ (document.querySelector("#glance"));
    this.box = /** @type {any} */ (this.section?.querySelector("[data-glance]"));
    if (!this.section || !this.box) return;
    this.key = `tipsim-pin ${window.location.pathname}`;
    this.before = this.numbers();
    this.last = -Infinity;
    this.pinned = read(this.key);
    const [pin, back] = ["[data-pin]", "[data-to-pin]"].map((name) => this.section.querySelector(name));
    pin?.addEventListener("click", () => this.pin(this.pinned ? null : { link: query(), numbers: this.texts() }));
    back?.addEventListener("click", () => this.pinned && go(this.pinned.link));
    model.on("glance", () => this.show(model.glance));
    model.on("waits", () => this.wait(model.waits));
    this.show(model.glance);
    this.wait(model.waits);
  }

  /** Texts of the numbers by id. */
  numbers() {
    const nodes = [...(this.box?.querySelectorAll("[data-number]") ?? [])];
    return new Map(nodes.map((node) => [node.getAttribute("data-number") ?? "", node]));
  }

  texts() {
    return Object.fromEntries([...this.numbers()].map(([id, node]) => [id, node.textContent ?? ""]));
  }

  wait(names) {
    this.section.ariaBusy = String(names.includes("glance"));
  }

  show(html) {
    if (!html) return;
    const now = performance.now();
    const old = this.texts();
    if (now - this.last > APART_MS) this.start = old;
    fill(this.box, html);
    const fresh = this.texts();
    const moved = Object.keys(old).length && JSON.stringify(old) !== JSON.stringify(fresh);
    if (moved) this.last = now;
    this.marks = moved ? this.start : this.marks;
    this.mark();
  }

  /** What each number was before the last change, and in the pinned run. */
  mark() {
    for (const [id, node] of this.numbers()) {
      const was = this.marks?.[id];
      const pinned = this.pinned?.numbers[id];
      set(node, "data-was", was !== undefined && was !== NONE && was !== node.textContent ? `was ${was}` : "");
      set(node.parentElement, "data-pinned", pinned === undefined ? "" : `pinned ${pinned}`);
    }
    const [pin, back] = ["[data-pin]", "[data-to-pin]"].map((name) => this.section.querySelector(name));
    pin.textContent = this.pinned ? "Unpin" : "Pin this run";
    back.hidden = !this.pinned;
  }

  pin(run) {
    this.pinned = run;
    try {
      if (run) sessionStorage.setItem(this.key, JSON.stringify(run));
      else sessionStorage.removeItem(this.key);
    } catch {
      // Without storage it is pinned for this page only.
    }
    this.mark();
  }
}

const query = () => window.location.search.replace(/^\?/, "");

const set = (node, name, text) => (text ? node.setAttribute(name, text) : node.removeAttribute(name));

const read = (key) => {
  try {
    return JSON.parse(sessionStorage.getItem(key) ?? "null");
  } catch {
    return null;
  }
};
