// A chart: a Bokeh figure that was described in Python, fed here with the page's numbers, with a
// reading for pointer and keyboard, tools, and its table, text and downloads beside it.

import { Details } from "./chart_details.js";
import { described, embed } from "./chart_figure.js";
import { rangeOf, summary } from "./chart_data.js";
import { Reader } from "./chart_reader.js";
import { Tools } from "./chart_tools.js";
import { wordsOf } from "./chart_words.js";
import { make } from "./make.js";
import { onTheme } from "./theme.js";

/**
 * @typedef {import("./chart_data.js").Data} Data
 * @typedef {import("./chart_data.js").Kind} Kind
 * @typedef {{ seek?: (x: number) => void, moved?: () => void }} Options
 */

let count = 0;

export class Chart {
  /**
   * @param {string} name of a kind that was declared in Python
   * @param {Options} [options] seek: a press or drag on the chart sets the clock; moved: after
   *   whatever lies over the chart has to be placed anew
   */
  constructor(name, options = {}) {
    this.name = name;
    this.options = options;
    this.id = `chart-${++count}`;
    this.host = make("div", { className: "chart-host" });
    this.host.dataset.kind = name; // what its height is known by, before there is a figure
    this.over = make("div", { className: "chart-over" });
    this.reader = new Reader(this);
    this.details = new Details(this);
    this.tools = new Tools(this);
    this.reader.focus.setAttribute("aria-describedby", this.details.text.id);
    const parts = [this.reader.focus, this.host, this.over, this.tools.node];
    this.picture = make("div", { className: "chart-picture" }, ...parts);
    this.node = make("div", { className: "chart" }, this.picture, this.reader.node, this.details.node);
    /** @type {Kind | null} */
    this.kind = null;
    /** @type {import("./chart_figure.js").Figure | null} */
    this.figure = null;
    /** @type {Data | null} */
    this.data = null;
    /** @type {{ x: number[], y: number[] } | null} what the axes show, unless the person has chosen */
    this.home = null;
    this.zoomed = false;
    /** @type {Promise<void> | undefined} */
    this.embedding = undefined;
    this.endTheme = onTheme(() => this.dress());
    // Bokeh measures what it stands in, so it waits until there is room.
    this.sizes = new ResizeObserver(() => this.sized());
    this.sizes.observe(this.host);
  }

  sized() {
    if (!this.host.clientWidth) return;
    this.embedding ??= this.embed();
    this.later();
  }

  async embed() {
    const kind = await described(this.name);
    this.kind = kind;
    this.reader.focus.setAttribute("aria-label", `${kind.title}: value under the cursor`);
    this.tools.node.setAttribute("aria-label", `Tools of the chart: ${kind.title}`);
    this.details.name(kind);
    const figure = await embed(kind, this.host);
    if (this.removed) {
      figure.remove();
      return;
    }
    this.figure = figure;
    for (const range of [figure.x, figure.y]) range.change.connect(() => this.later());
    this.dress();
    if (this.data) this.show(this.data);
  }

  /** Let the figure take the page's colours and fonts. */
  dress() {
    if (!this.figure) return;
    this.figure.dress(this.node);
    if (this.data) this.figure.feed(this.data);
    this.later();
  }

  remove() {
    this.removed = true;
    this.endTheme();
    this.sizes.disconnect();
    this.figure?.remove();
  }

  // ---- numbers ----

  /**
   * Show numbers; what was zoomed stays zoomed while the lines keep their extent.
   * @param {Data} data
   */
  show(data) {
    this.data = data;
    if (!this.figure) return;
    this.figure.feed(data);
    this.limits();
    this.details.text.textContent = summary(this.kind, data);
    this.reader.tell();
    this.later();
  }

  /**
   * Show other numbers over the same ranges, as often as a picture moves; text and table wait for `show`.
   * @param {Data} data
   */
  animate(data) {
    if (!this.data) {
      this.show(data);
      return;
    }
    this.data = data;
    if (!this.figure) return;
    this.figure.feedLines(data);
    this.later();
    this.reader.soon();
  }

  /** @param {number} x the page's clock */
  cursor(x) {
    this.reader.cursor(x);
  }

  /** Work out what the axes show, unless the person has chosen. */
  limits() {
    const { kind, data } = this;
    const curves = Object.values(data.lines);
    const along = curves.map(({ x }) => x);
    const bands = (data.bands ?? []).flatMap(({ low, high }) => [low, high]);
    const across = [...(data.levels ?? []).map(({ y }) => y), ...bands];
    const up = [...curves.flatMap(({ y, low, high }) => [y ?? [], low ?? [], high ?? []]), across];
    const x = data.x ?? rangeOf(kind.x, along, true);
    const same = this.home && this.home.x.join() === x.join();
    this.home = { x, y: data.y ?? rangeOf(kind.y, up, false) };
    if (!this.zoomed || !same) this.reset();
  }

  reset() {
    if (!this.home || !this.figure) return;
    // Words that would hang over the left edge in other ranges leave a trace there.
    this.figure.words([]);
    this.figure.range("x", this.home.x);
    this.figure.range("y", this.home.y);
    this.zoomed = false;
    this.later();
  }

  // ---- what lies in and over the picture ----

  /** Place all words once, soon: after whatever changes now has changed. */
  later() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => {
      this.waiting = 0;
      this.place();
      this.options.moved?.();
    });
  }

  place() {
    const { figure, data, home } = this;
    if (!figure || !data || !figure.frame.width) return;
    const apart = (a, b, /** @type {number[]} */ [from, to]) =>
      Math.abs(a - from) + Math.abs(b - to) > 1e-9 * (to - from);
    this.zoomed = apart(...figure.span(), home.x) || apart(figure.y.start, figure.y.end, home.y);
    this.tools.whole.disabled = !this.zoomed;
    figure.words(wordsOf(figure, this.kind, data));
    this.details.fill();
  }

  /** Where the curves are drawn, in px of `over`; null until there is a figure with room. */
  box() {
    return this.figure && this.home && this.figure.frame.width ? this.figure.frame : null;
  }

  /** @param {number} x @returns {number} px from the left of `over` */
  px(x) {
    return this.figure.px(x);
  }

  /** @param {number} y @returns {number} px from the top of `over` */
  py(y) {
    return this.figure.py(y);
  }

  /** @param {PointerEvent | MouseEvent} event @returns {number | null} its x, null beside the frame */
  xOf(event, clamped = false) {
    return this.reader.xOf(event, clamped);
  }
}
