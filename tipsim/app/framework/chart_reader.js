// What is read at a place of a chart, by pointer or keyboard, and the page's clock in it.

import { present, reading, valueAt } from "./chart_data.js";
import { make } from "./make.js";

const STEP = 1 / 50; // of what is shown, for an arrow key
const READ_MS = 120; // between two readings of a running clock
const HINT = "Point at the chart, or use the arrow keys, to read values.";

/** A number without an exponent, as assistive tools read it. @param {number} value */
const plain = (value) => String(Number(value.toFixed(6)));

export class Reader {
  /** @param {import("./chart.js").Chart} chart */
  constructor(chart) {
    this.chart = chart;
    this.node = make("p", { className: "chart-read" });
    this.focus = make("div", {
      className: "chart-focus",
      tabIndex: 0,
      role: "slider",
      ariaLabel: "Chart, about to be drawn",
      ariaValueNow: "0",
    });
    /** @type {number | null} the place that is read; null: the clock's */
    this.at = null;
    /** @type {number | null} */
    this.now = null;
    this.listen();
  }

  // ---- what is said ----

  /**
   * Set the cursor, the page's clock.
   * @param {number} x
   */
  cursor(x) {
    this.now = x;
    const { figure } = this.chart;
    if (!figure) return;
    figure.part("cursor").setv({ location: x, visible: true });
    if (this.at === null) this.soon();
  }

  /** @param {number | null} x read here; null: where the clock is */
  probe(x) {
    this.at = x;
    this.tell();
  }

  /** Write the values before long: a running clock asks in every frame. */
  soon() {
    this.telling ??= setTimeout(() => this.tell(), READ_MS);
  }

  /** Write the values at the probe, else at the clock. */
  tell() {
    const { figure, kind, data } = this.chart;
    if (!figure || !data) return;
    clearTimeout(this.telling);
    this.telling = undefined;
    const at = this.at ?? this.now;
    figure.part("probe").setv({ location: this.at ?? 0, visible: this.at !== null });
    figure.feedDots("read", this.dots());
    const [low, high] = figure.span();
    const words = at === null ? HINT : reading(kind, data, at);
    this.node.textContent = words;
    this.focus.setAttribute("aria-valuemin", plain(low));
    this.focus.setAttribute("aria-valuemax", plain(high));
    this.focus.setAttribute("aria-valuenow", plain(at ?? (low + high) / 2));
    this.focus.setAttribute("aria-valuetext", words);
  }

  /** @returns {import("./chart_data.js").Dot[]} one on each curve, at the probe */
  dots() {
    const { kind, data } = this.chart;
    const { at } = this;
    if (at === null) return [];
    return present(kind, data).flatMap(([line, { x, y }]) => {
      const value = y ? valueAt(x, y, at, line.step) : null;
      return value === null ? [] : [{ x: at, y: value, side: line.colour }];
    });
  }

  // ---- pointer and keyboard ----

  /** @param {PointerEvent | MouseEvent} event @returns {number | null} its x, null beside the frame */
  xOf(event, clamped = false) {
    const { figure, host } = this.chart;
    if (!figure) return null;
    const { left, right } = figure.frame;
    const px = event.clientX - host.getBoundingClientRect().left;
    if (!clamped && (px < left - 6 || px > right + 6)) return null;
    return figure.xAt(px);
  }

  listen() {
    const { host, options } = this.chart;
    host.addEventListener("pointermove", (event) => {
      if (this.seeking) options.seek?.(/** @type {number} */ (this.xOf(event, true)));
      else this.probe(this.xOf(event));
    });
    host.addEventListener("pointerleave", () => this.probe(null));
    host.addEventListener("pointerdown", (event) => this.press(event));
    for (const kind of ["pointerup", "pointercancel"]) host.addEventListener(kind, () => (this.seeking = false));
    this.focus.addEventListener("keydown", (event) => this.key(event));
    this.focus.addEventListener("blur", () => this.probe(null));
  }

  /** @param {PointerEvent} event */
  press(event) {
    const { host, options, tools } = this.chart;
    const x = this.xOf(event);
    if (x === null || tools.dragging) return;
    this.focus.focus({ preventScroll: true });
    if (!options.seek) {
      this.probe(x);
      return;
    }
    this.seeking = true;
    host.setPointerCapture(event.pointerId);
    this.probe(null);
    options.seek(x);
  }

  /** @param {number} share of what is shown, to the right */
  step(share) {
    const { figure } = this.chart;
    const [low, high] = figure.span();
    const from = this.at ?? this.now ?? (low + high) / 2;
    this.probe(figure.xAt(figure.px(from) + share * figure.frame.width));
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const { figure, kind, options, tools } = this.chart;
    if (!figure || event.ctrlKey || event.metaKey || event.altKey) return;
    const ends = figure.span();
    const [first, last] = kind.x.reverse ? ends.reverse() : ends;
    const acts = {
      ArrowLeft: () => (event.shiftKey ? tools.pan(-STEP * 5) : this.step(-STEP)),
      ArrowRight: () => (event.shiftKey ? tools.pan(STEP * 5) : this.step(STEP)),
      PageDown: () => this.step(-STEP * 10),
      PageUp: () => this.step(STEP * 10),
      Home: () => this.probe(first),
      End: () => this.probe(last),
      "+": () => tools.zoom(true),
      "-": () => tools.zoom(false),
      0: () => this.chart.reset(),
      Enter: () => this.at !== null && options.seek?.(this.at),
    };
    const act = acts[/** @type {keyof typeof acts} */ (event.key)];
    if (!act) return;
    event.preventDefault();
    event.stopPropagation();
    act();
  }
}
