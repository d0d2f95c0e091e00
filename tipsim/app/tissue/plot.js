// A plot with lines, bands, levels and shaded stretches; it repaints when its width changes.

import { draw, make, ticks } from "../framework/make.js";

const ROOM = { left: 46, right: 12, top: 22, bottom: 38 };
const TALL = 190;

export class Plot {
  constructor() {
    this.svg = draw("svg", { role: "img", class: "plot" });
    this.node = make("div", {}, this.svg);
    new ResizeObserver(() => this.paint()).observe(this.node);
  }

  /**
   * data: { title, across, x: [low, high], y: [low, high], log, told, shades: [{ from, to }],
   * levels: [{ y, label, hot }], areas: [{ name, low, high }], lines: [{ name, points }],
   * dots: [{ name, x, y, label }], now }; points are [x, y], names are classes.
   */
  show(data) {
    this.data = data;
    this.svg.setAttribute("aria-label", `${data.title}. ${data.told ?? ""}`);
    this.paint();
  }

  paint() {
    if (!this.data || !this.node.clientWidth) return;
    this.width = Math.max(250, this.node.clientWidth);
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${TALL}`);
    this.now = this.data.now === undefined ? [] : [draw("line", { class: "now" })];
    this.svg.replaceChildren(
      ...this.shades(),
      ...this.grid(),
      ...this.levels(),
      ...this.areas(),
      ...this.lines(),
      ...this.dots(),
      ...this.now,
    );
    this.move(this.data.now);
  }

  x(value) {
    const [low, high] = this.data.x;
    return ROOM.left + ((value - low) / (high - low)) * (this.width - ROOM.left - ROOM.right);
  }

  y(value) {
    const [low, high] = this.data.y;
    const share = this.data.log
      ? Math.log(Math.max(value, low) / low) / Math.log(high / low)
      : (value - low) / (high - low);
    return TALL - ROOM.bottom - Math.min(1, Math.max(0, share)) * (TALL - ROOM.bottom - ROOM.top);
  }

  text(x, y, words, className) {
    const node = draw("text", { x, y, class: className });
    node.textContent = words;
    return node;
  }

  grid() {
    const { x, y, title, across, log } = this.data;
    const out = [this.text(2, 13, title, "axis")];
    const decades = () => {
      const all = [];
      for (let k = Math.ceil(Math.log10(y[0]) - 1e-9); k <= Math.log10(y[1]) + 1e-9; k++) all.push(10 ** k);
      const every = Math.ceil(all.length / 5);
      return all.filter((_, i) => i % every === 0);
    };
    for (const v of log ? decades() : ticks(...y, 4)) {
      out.push(
        draw("line", {
          x1: ROOM.left,
          x2: this.width - ROOM.right,
          y1: this.y(v),
          y2: this.y(v),
          class: v ? "grid" : "zero",
        }),
      );
      out.push(this.text(ROOM.left - 6, this.y(v) + 4, String(Number(v.toPrecision(3))), "tick end"));
    }
    for (const v of ticks(...x, this.width < 400 ? 4 : 6)) {
      out.push(this.text(this.x(v), TALL - ROOM.bottom + 15, String(Number(v.toPrecision(3))), "tick mid"));
    }
    out.push(this.text(this.width - ROOM.right, TALL - 4, across, "axis end"));
    return out;
  }

  shades() {
    return (this.data.shades ?? []).map(({ from, to }) =>
      draw("rect", {
        x: this.x(from),
        width: Math.max(0, this.x(to) - this.x(from)),
        y: ROOM.top,
        height: TALL - ROOM.bottom - ROOM.top,
        class: "shade",
      }),
    );
  }

  levels() {
    return (this.data.levels ?? [])
      .filter(({ y }) => y <= this.data.y[1] && y >= this.data.y[0])
      .flatMap(({ y, label, hot }) => [
        draw("line", {
          x1: ROOM.left,
          x2: this.width - ROOM.right,
          y1: this.y(y),
          y2: this.y(y),
          class: hot ? "level hot" : "level",
        }),
        this.text(this.width - ROOM.right, this.y(y) - 4, label, "axis end"),
      ]);
  }

  path(points) {
    return points.map(([x, y]) => `${this.x(x).toFixed(1)},${this.y(y).toFixed(1)}`).join(" ");
  }

  areas() {
    return (this.data.areas ?? []).map(({ name, low, high }) =>
      draw("polygon", { points: `${this.path(high)} ${this.path([...low].reverse())}`, class: `area ${name}` }),
    );
  }

  lines() {
    return this.data.lines.map(({ name, points }) =>
      draw("polyline", { points: this.path(points), class: `line ${name}` }),
    );
  }

  dots() {
    return (this.data.dots ?? []).flatMap(({ name, x, y, label, above }) => {
      const late = this.x(x) > this.width - 90;
      const dot = draw("circle", { cx: this.x(x), cy: this.y(y), r: 5, class: `dot ${name}` });
      const words = label
        ? [this.text(this.x(x) + (late ? -9 : 9), this.y(y) + (above ? -6 : 15), label, late ? "axis end" : "axis")]
        : [];
      return [dot, ...words];
    });
  }

  /** Move the line of "now" along x. */
  move(value) {
    if (value === undefined || !this.now?.length) return;
    this.data.now = value;
    const [x, last] = [this.x(value), TALL - ROOM.bottom];
    for (const [name, v] of Object.entries({ x1: x, x2: x, y1: ROOM.top, y2: last })) this.now[0].setAttribute(name, v);
  }
}

/** Pairs of two lists. */
export const pairs = (xs, ys) => ys.map((y, i) => [xs[i], y]);
