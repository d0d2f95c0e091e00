// Curves over a common axis, with a probe for pointer and keyboard.

import { draw, make, ticks } from "../framework/make.js";
import { short } from "../plots/numbers.js";

const EDGE = { left: 50, right: 14, top: 14, bottom: 36 };

/**
 * A picture of curves.
 * shape: { id, xLabel, yLabel, log, reverse, say(value) }
 */
export class CurvePlot {
  constructor(shape) {
    this.shape = shape;
    this.svg = draw("svg", { role: "img", class: "along" });
    this.probe = make("input", { type: "range", min: 0, max: 1000, step: 1, value: 500, id: `probe-${shape.id}` });
    this.read = make("output", { className: "read" });
    this.probe.addEventListener("input", () => this.move(Number(this.probe.value) / 1000));
    this.svg.addEventListener("pointermove", (event) => this.follow(event));
    this.svg.addEventListener("pointerdown", (event) => this.follow(event));
    this.node = make(
      "div",
      { className: "curve" },
      this.svg,
      make("div", { className: "probe" }, make("label", { htmlFor: this.probe.id }, "Read at"), this.probe, this.read),
    );
  }

  // series: [{name, x, y}]; marks: [{x, label, name}]; bands: [{low, high, label}]; levels: [{y, label}]
  show({ series, marks = [], bands = [], levels = [], words = "" }) {
    this.series = series;
    this.marks = marks;
    this.bands = bands;
    this.levels = levels;
    this.words = words;
    this.paint();
  }

  paint() {
    if (!this.series || !this.node.clientWidth) return;
    const width = Math.max(280, this.node.clientWidth - 2);
    const height = Math.round(Math.min(290, Math.max(210, width * 0.36)));
    const xs = this.series.flatMap(({ x }) => [x[0], x[x.length - 1]]);
    const ys = this.series.flatMap(({ y }) => y);
    const extra = [...this.levels.map(({ y }) => y), ...this.bands.flatMap(({ low, high }) => [low, high])];
    this.span = [Math.min(...xs), Math.max(...xs)];
    this.range = this.limits(ys, extra);
    this.size = { width, height };
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.line = draw("g", { class: "probe-line" });
    this.svg.replaceChildren(...this.grid(), ...this.extras(), ...this.curves(), this.line);
    this.svg.setAttribute("aria-label", `${this.shape.yLabel} over ${this.shape.xLabel}. ${this.words}`);
    this.move(Number(this.probe.value) / 1000);
  }

  limits(ys, extra) {
    const high = Math.max(1e-9, ...ys, ...extra);
    if (!this.shape.log) return [0, high * 1.06];
    const low = Math.min(...ys.filter((v) => v > 0), high);
    return [Math.max(low, high * 1e-4), high * 1.3];
  }

  px(x) {
    const share = (x - this.span[0]) / (this.span[1] - this.span[0] || 1);
    const across = this.shape.reverse ? 1 - share : share;
    return EDGE.left + across * (this.size.width - EDGE.left - EDGE.right);
  }

  py(y) {
    const [low, high] = this.range;
    const share = this.shape.log
      ? Math.log(Math.max(y, low) / low) / Math.log(high / low)
      : (y - low) / (high - low);
    return this.size.height - EDGE.bottom - share * (this.size.height - EDGE.bottom - EDGE.top);
  }

  levelTicks() {
    const [low, high] = this.range;
    if (!this.shape.log) return ticks(low, high, 4);
    const out = [];
    for (let e = Math.ceil(Math.log10(low)); e <= Math.log10(high); e++) out.push(10 ** e);
    return out;
  }

  grid() {
    const { width, height } = this.size;
    const out = [];
    for (const v of this.levelTicks()) {
      const y = this.py(v);
      out.push(draw("line", { x1: EDGE.left, x2: width - EDGE.right, y1: y, y2: y, class: v ? "grid" : "zero" }));
      out.push(draw("text", { x: EDGE.left - 7, y: y + 4, class: "tick end" }, short(v)));
    }
    const base = height - EDGE.bottom;
    for (const v of ticks(...this.span, width < 480 ? 5 : 9)) {
      out.push(draw("line", { x1: this.px(v), x2: this.px(v), y1: base, y2: base + 4, class: "zero" }));
      out.push(draw("text", { x: this.px(v), y: base + 17, class: "tick mid" }, short(v)));
    }
    out.push(
      draw("text", { x: (EDGE.left + width - EDGE.right) / 2, y: height - 4, class: "axis mid" }, this.shape.xLabel),
    );
    out.push(draw("text", { x: EDGE.left + 6, y: EDGE.top + 4, class: "axis" }, this.shape.yLabel));
    return out;
  }

  extras() {
    const { width, height } = this.size;
    const out = [];
    for (const { low, high, label } of this.bands) {
      out.push(
        draw("rect", {
          x: EDGE.left,
          y: this.py(high),
          width: width - EDGE.left - EDGE.right,
          height: this.py(low) - this.py(high),
          class: "band",
        }),
      );
      out.push(draw("text", { x: width - EDGE.right - 4, y: this.py(high) + 14, class: "axis end" }, label));
    }
    for (const { y, label } of this.levels) {
      out.push(draw("line", { x1: EDGE.left, x2: width - EDGE.right, y1: this.py(y), y2: this.py(y), class: "level" }));
      if (label) out.push(draw("text", { x: width - EDGE.right - 4, y: this.py(y) - 4, class: "axis end" }, label));
    }
    for (const { x, label, name, short: tall } of this.marks) {
      if (x < this.span[0] || x > this.span[1]) continue;
      const low = height - EDGE.bottom;
      const top = tall ? low - 10 : EDGE.top;
      out.push(draw("line", { x1: this.px(x), x2: this.px(x), y1: top, y2: low, class: `mark ${name ?? ""}` }));
      if (label) out.push(draw("text", { x: this.px(x) + 4, y: EDGE.top + 18, class: "axis" }, label));
    }
    return out;
  }

  curves() {
    return this.series.map(({ name, x, y }) =>
      draw("polyline", {
        points: x.map((v, i) => `${this.px(v).toFixed(1)},${this.py(y[i]).toFixed(1)}`).join(" "),
        class: `line ${name}`,
      }),
    );
  }

  follow(event) {
    if (!this.size) return;
    const box = this.svg.getBoundingClientRect();
    const px = ((event.clientX - box.left) / box.width) * this.size.width;
    const share = (px - EDGE.left) / (this.size.width - EDGE.left - EDGE.right);
    this.move(Math.min(Math.max(share, 0), 1));
  }

  move(share) {
    if (!this.size) return;
    this.probe.value = Math.round(share * 1000);
    const across = this.shape.reverse ? 1 - share : share;
    const at = this.span[0] + across * (this.span[1] - this.span[0]);
    const values = this.series.map((each) => interpolate(each, at));
    const words = values.map((v, k) => `${"AB"[k]} ${v === null ? "–" : this.shape.say(v)}`);
    this.read.textContent = `${this.shape.place(at)}: ${words.join(", ")}`;
    this.probe.setAttribute("aria-valuetext", this.read.textContent);
    const x = this.px(at);
    const rings = values.map((v, k) =>
      v === null ? "" : draw("circle", { cx: x, cy: this.py(v), r: 5, class: `ring ${"ab"[k]}` }),
    );
    const { height } = this.size;
    this.line.replaceChildren(draw("line", { x1: x, x2: x, y1: EDGE.top, y2: height - EDGE.bottom }), ...rings);
  }
}

/** The value of a curve between its points; nothing beyond them. Either order of x. */
function interpolate({ x, y }, at) {
  const up = x[x.length - 1] > x[0];
  const outside = up ? at < x[0] || at > x[x.length - 1] : at > x[0] || at < x[x.length - 1];
  if (outside) return null;
  let i = 0;
  while (i < x.length - 2 && (up ? x[i + 1] < at : x[i + 1] > at)) i++;
  const w = (at - x[i]) / (x[i + 1] - x[i] || 1);
  return y[i] * (1 - w) + y[i + 1] * w;
}
