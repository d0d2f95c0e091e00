// What both plots have in common: axes of a plot, and lines on it.

import { draw, ticks } from "../framework/make.js";

export const PLOT = { left: 40, right: 14, top: 14, bottom: 34 };

/** A plot's plane: where values lie in pixels; x may run backwards. */
export class Plane {
  constructor(width, height, x, y) {
    this.width = width;
    this.height = height;
    this.xs = x;
    this.ys = y;
  }

  x(v) {
    const [from, to] = this.xs;
    return PLOT.left + ((v - from) / (to - from)) * (this.width - PLOT.left - PLOT.right);
  }

  y(v) {
    const [low, high] = this.ys;
    return this.height - PLOT.bottom - ((v - low) / (high - low)) * (this.height - PLOT.bottom - PLOT.top);
  }

  back(px) {
    const [from, to] = this.xs;
    return from + ((px - PLOT.left) / (this.width - PLOT.left - PLOT.right)) * (to - from);
  }

  frame(xTitle, yTitle) {
    const { width, height } = this;
    const out = [];
    for (const v of ticks(...this.ys, 5)) {
      const y = this.y(v);
      out.push(draw("line", { x1: PLOT.left, x2: width - PLOT.right, y1: y, y2: y, class: "grid" }));
      out.push(draw("text", { x: PLOT.left - 6, y: y + 4, class: "tick end" }, String(v)));
    }
    const [low, high] = [...this.xs].sort((a, b) => a - b);
    for (const v of ticks(low, high, width < 480 ? 5 : 10)) {
      const y = height - PLOT.bottom;
      out.push(draw("line", { x1: this.x(v), x2: this.x(v), y1: y, y2: y + 4, class: "zero" }));
      out.push(draw("text", { x: this.x(v), y: y + 16, class: "tick mid" }, String(Number(v.toFixed(6)))));
    }
    out.push(draw("text", { x: (PLOT.left + width - PLOT.right) / 2, y: height - 3, class: "axis mid" }, xTitle));
    out.push(draw("text", { x: PLOT.left, y: 9, class: "axis" }, yTitle));
    return out;
  }

  line(xs, ys, name) {
    const points = xs.map((v, i) => `${this.x(v).toFixed(1)},${this.y(ys[i]).toFixed(1)}`);
    return draw("polyline", { points: points.join(" "), class: name });
  }
}

/** Range of a plot of temperatures: that of the colours, and more where a line goes beyond. */
export function rangeOf(scale, values) {
  const low = Math.min(scale.low, ...values);
  const high = Math.max(scale.high, ...values);
  return [
    low < scale.low ? Math.floor(low / 5) * 5 : scale.low,
    high > scale.high ? Math.ceil(high / 10) * 10 : scale.high,
  ];
}
