// Curves of both benches over time, one picture each for pressure, vacuum and rush, with "now".

import { draw, make, ticks } from "../../framework/make.js";

const EDGE = { left: 46, right: 12, top: 20, bottom: 8 };
const AXIS = 26;
const HEIGHT = 112;

export class Chart {
  /** shape: { name, label, zero } with the curve's column and the words above it. */
  constructor(shape, pick) {
    this.shape = shape;
    this.svg = draw("svg", { role: "img", class: "chart" });
    this.now = draw("line", { class: "now" });
    this.rings = [0, 1].map((k) => draw("circle", { r: 4.5, class: `ring ${"ab"[k]}` }));
    for (const kind of ["pointerdown", "pointermove"]) {
      this.svg.addEventListener(kind, (event) => {
        if (kind === "pointermove" && !event.buttons) return;
        pick(this.timeAt(event));
      });
    }
    this.node = make("div", { className: "plot" }, this.svg);
  }

  take(flow, span, axis) {
    Object.assign(this, { flow, span, axis });
    this.paint();
  }

  column(side) {
    if (this.shape.name !== "rush") return side.curves[this.shape.name];
    return side.curves.mouth.map((value, i) => value + side.curves.bypass[i]);
  }

  paint() {
    const width = Math.max(280, this.node.clientWidth);
    if (!this.flow || !this.node.clientWidth) return;
    this.size = { width, height: HEIGHT + (this.axis ? AXIS : 0) };
    this.svg.setAttribute("viewBox", `0 0 ${width} ${this.size.height}`);
    this.curves = this.flow.sides.map((side) => this.column(side));
    const top = Math.max(1, ...this.shape.levels(this.flow), ...this.curves.map((c) => c.reduce((a, b) => Math.max(a, b))));
    const low = Math.min(0, ...this.curves.map((c) => c.reduce((a, b) => Math.min(a, b))));
    this.range = [low, top * 1.06];
    this.svg.replaceChildren(...this.grid(), ...this.marks(), ...this.lines(), this.now, ...this.rings);
  }

  x(time) {
    const { left, right } = EDGE;
    return left + ((time - this.span[0]) / (this.span[1] - this.span[0])) * (this.size.width - left - right);
  }

  y(value) {
    const [low, high] = this.range;
    return HEIGHT - EDGE.bottom - ((value - low) / (high - low)) * (HEIGHT - EDGE.bottom - EDGE.top);
  }

  grid() {
    const { width } = this.size;
    const out = [draw("text", { x: EDGE.left, y: 12, class: "axis" }, this.shape.label)];
    for (const v of ticks(...this.range, 3)) {
      out.push(draw("line", { x1: EDGE.left, x2: width - EDGE.right, y1: this.y(v), y2: this.y(v), class: v ? "grid" : "zero" }));
      out.push(draw("text", { x: EDGE.left - 6, y: this.y(v) + 4, class: "tick end" }, String(v)));
    }
    if (!this.axis) return out;
    for (const v of ticks(...this.span, width < 480 ? 4 : 8)) {
      out.push(draw("text", { x: this.x(v), y: HEIGHT + 8, class: "tick mid" }, String(Number(v.toFixed(3)))));
    }
    out.push(draw("text", { x: width - EDGE.right, y: HEIGHT + 23, class: "axis end" }, "seconds"));
    return out;
  }

  marks() {
    const { block, release } = this.flow;
    const out = [];
    for (const [time, words] of [[block, "blocked"], [release, "let go"]]) {
      if (time < this.span[0] || time > this.span[1]) continue;
      out.push(draw("line", { x1: this.x(time), x2: this.x(time), y1: EDGE.top, y2: HEIGHT - EDGE.bottom, class: "mark" }));
      if (this.shape.name === "chamber") out.push(draw("text", { x: this.x(time) + 4, y: HEIGHT - EDGE.bottom - 4, class: "axis" }, words));
    }
    for (const level of new Set(this.shape.levels(this.flow))) {
      out.push(draw("line", { x1: EDGE.left, x2: this.size.width - EDGE.right, y1: this.y(level), y2: this.y(level), class: "level" }));
    }
    return out;
  }

  lines() {
    const out = [];
    this.flow.sides.forEach((side, k) => {
      const { time } = side.curves;
      const points = [];
      for (let i = 0; i < side.n; i++) {
        if (time[i] < this.span[0] || time[i] > this.span[1]) continue;
        points.push(`${this.x(time[i]).toFixed(1)},${this.y(this.curves[k][i]).toFixed(1)}`);
      }
      out.push(draw("polyline", { points: points.join(" "), class: `line ${side.side}` }));
      if (side.flat !== null && side.flat >= this.span[0] && side.flat <= this.span[1] && this.shape.name === "chamber") {
        const x = this.x(side.flat);
        const late = x > this.size.width - 110;
        out.push(draw("text", { x: x + (late ? -5 : 5), y: EDGE.top + 14 * (k + 1), class: late ? "flat end" : "flat" }, `${side.side.toUpperCase()} falls flat`));
      }
    });
    return out;
  }

  /** Move the line of "now". */
  move(time, moments) {
    if (!this.size) return;
    const inside = time >= this.span[0] && time <= this.span[1];
    const x = this.x(time);
    for (const [name, value] of Object.entries({ x1: x, x2: x, y1: EDGE.top, y2: HEIGHT - EDGE.bottom })) this.now.setAttribute(name, value);
    this.now.style.display = inside ? "" : "none";
    this.rings.forEach((ring, k) => {
      const now = moments[k];
      const value = this.shape.name === "rush" ? now.mouth + now.bypass : now[this.shape.name];
      ring.setAttribute("cx", x);
      ring.setAttribute("cy", this.y(value));
      ring.style.display = inside && !now.over ? "" : "none";
    });
  }

  timeAt(event) {
    const box = this.svg.getBoundingClientRect();
    const px = ((event.clientX - box.left) / box.width) * this.size.width;
    const share = (px - EDGE.left) / (this.size.width - EDGE.left - EDGE.right);
    return this.span[0] + Math.min(1, Math.max(0, share)) * (this.span[1] - this.span[0]);
  }

  describe(words) {
    this.svg.setAttribute("aria-label", `${this.shape.label} over time. ${words} The table below holds the moments that count.`);
  }
}
