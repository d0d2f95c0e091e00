// Motion along the shaft of both needles, with a probe that pointer and keyboard can move.

import { draw, make, ticks } from "../framework/make.js";
import { micro, short } from "./numbers.js";

const KINDS = {
  sideways: { label: "Sideways stroke", axis: "sideways stroke, µm peak to peak" },
  signed: { label: "With or against the end", axis: "sideways stroke, µm; below 0: against the end" },
  lengthwise: { label: "Along the shaft", axis: "stroke along the shaft, µm peak to peak" },
  turning: { label: "Surface, by turning", axis: "surface travel by turning, µm peak to peak" },
};
const MARGIN = { left: 46, right: 14, top: 12, bottom: 36 };

/** Peak-to-peak travel of a complex displacement: twice the long half axis of its path. */
export function strokeOf(re, im) {
  let size = 0;
  let x = 0;
  let y = 0;
  for (let k = 0; k < re.length; k++) {
    size += re[k] ** 2 + im[k] ** 2;
    x += re[k] ** 2 - im[k] ** 2;
    y += 2 * re[k] * im[k];
  }
  return 2 * Math.sqrt((size + Math.hypot(x, y)) / 2);
}

/** Split a node's displacement: along the needle (complex) and across it (three complex). */
function split(side, i) {
  const t = side.tangent.subarray(3 * i, 3 * i + 3);
  const re = [0, 1, 2].map((k) => side.amp[12 * i + 2 * k]);
  const im = [0, 1, 2].map((k) => side.amp[12 * i + 2 * k + 1]);
  const dot = (v) => v[0] * t[0] + v[1] * t[1] + v[2] * t[2];
  const [along, alongIm] = [dot(re), dot(im)];
  return {
    along: [along, alongIm],
    re: re.map((v, k) => v - along * t[k]),
    im: im.map((v, k) => v - alongIm * t[k]),
  };
}

/** The curve of one needle: distances from the end [mm] and values [µm], hub first. */
export function curve(side, kind) {
  const end = split(side, side.n - 1);
  const values = new Float64Array(side.n);
  for (let i = 0; i < side.n; i++) {
    const here = split(side, i);
    if (kind === "lengthwise") values[i] = 2 * Math.hypot(...here.along);
    else if (kind === "turning") values[i] = turning(side, i);
    else values[i] = strokeOf(here.re, here.im) * (kind === "signed" ? sense(here, end) : 1);
  }
  return { x: Float64Array.from(side.s, (s) => side.length - s), y: values };
}

function turning(side, i) {
  let re = 0;
  let im = 0;
  for (let k = 0; k < 3; k++) {
    re += side.amp[12 * i + 6 + 2 * k] * side.tangent[3 * i + k];
    im += side.amp[12 * i + 7 + 2 * k] * side.tangent[3 * i + k];
  }
  return 2 * Math.hypot(re, im) * side.outer[i] * 1e3;
}

function sense(here, end) {
  let common = 0;
  for (let k = 0; k < 3; k++) common += here.re[k] * end.re[k] + here.im[k] * end.im[k];
  return common < 0 ? -1 : 1;
}

/** The value of a curve at a distance from the end; nothing beyond the hub. */
function readAt({ x, y }, distance) {
  if (distance > x[0] + 1e-9) return null;
  let i = x.length - 2;
  while (i > 0 && x[i] < distance) i--;
  const w = (x[i] - distance) / (x[i] - x[i + 1] || 1);
  return y[i] * (1 - w) + y[i + 1] * w;
}

export class AlongPlot {
  constructor() {
    this.kind = "sideways";
    this.at = 4;
    this.svg = draw("svg", { role: "img", class: "along" });
    this.probe = make("input", { type: "range", min: 0, step: 0.1, value: 4, id: "probe" });
    this.probe.addEventListener("input", () => this.move(Number(this.probe.max) - Number(this.probe.value)));
    this.read = make("output", { className: "read" });
    this.read.setAttribute("for", "probe");
    this.svg.addEventListener("pointermove", (event) => this.follow(event));
    this.svg.addEventListener("pointerdown", (event) => this.follow(event));
    this.node = make(
      "section",
      { className: "card" },
      make("div", { className: "top" }, make("h2", {}, "Motion along the shaft"), this.choice()),
      this.svg,
      make(
        "div",
        { className: "probe" },
        make("label", { htmlFor: "probe" }, "Read at"),
        this.probe,
        this.read,
      ),
    );
  }

  choice() {
    const select = make("select", { id: "along-kind", ariaLabel: "What is drawn along the shaft" });
    for (const [value, { label }] of Object.entries(KINDS)) select.append(make("option", { value }, label));
    select.addEventListener("change", () => {
      this.kind = select.value;
      this.paint();
    });
    return select;
  }

  show(sides) {
    this.sides = sides;
    this.paint();
  }

  paint() {
    if (!this.sides) return;
    const width = Math.max(280, this.node.clientWidth - 2);
    const height = Math.round(Math.min(300, Math.max(210, width * 0.36)));
    this.curves = this.sides.map((side) => curve(side, this.kind));
    const longest = Math.max(...this.sides.map((side) => side.length));
    const highest = Math.max(1, ...this.curves.map(({ y }) => Math.max(...y))) * 1.08;
    const lowest = Math.min(0, ...this.curves.map(({ y }) => Math.min(...y))) * 1.08;
    const plane = { width, height, longest, highest, lowest };
    this.x = (mm) => width - MARGIN.right - (mm / longest) * (width - MARGIN.left - MARGIN.right);
    this.y = (um) =>
      height - MARGIN.bottom - ((um - lowest) / (highest - lowest)) * (height - MARGIN.bottom - MARGIN.top);
    this.back = (px) => ((width - MARGIN.right - px) / (width - MARGIN.left - MARGIN.right)) * longest;
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.svg.replaceChildren(...this.frame(plane), ...this.lines());
    this.line = draw("g", { class: "probe-line" });
    this.svg.append(this.line);
    this.probe.max = longest.toFixed(1);
    this.move(Math.min(this.at, longest));
    this.svg.setAttribute("aria-label", this.words());
  }

  frame({ width, height, longest, highest, lowest }) {
    const out = [];
    for (const v of ticks(lowest, highest, 4)) {
      const y = this.y(v);
      out.push(draw("line", { x1: MARGIN.left, x2: width - MARGIN.right, y1: y, y2: y, class: v ? "grid" : "zero" }));
      out.push(draw("text", { x: MARGIN.left - 7, y: y + 4, class: "tick end" }, short(v)));
    }
    for (const v of ticks(0, longest, width < 480 ? 5 : 9)) {
      const y = height - MARGIN.bottom;
      out.push(draw("line", { x1: this.x(v), x2: this.x(v), y1: y, y2: y + 4, class: "zero" }));
      out.push(draw("text", { x: this.x(v), y: y + 17, class: "tick mid" }, short(v)));
    }
    out.push(draw("text", { x: MARGIN.left, y: height - 4, class: "axis" }, "hub"));
    const middle = (MARGIN.left + width - MARGIN.right) / 2;
    out.push(draw("text", { x: middle, y: height - 4, class: "axis mid" }, "distance from the end, mm"));
    out.push(draw("text", { x: width - MARGIN.right, y: height - 4, class: "axis end" }, "end"));
    out.push(draw("text", { x: MARGIN.left + 6, y: MARGIN.top + 4, class: "axis" }, KINDS[this.kind].axis));
    return out;
  }

  lines() {
    return this.sides.flatMap((side, k) => {
      const name = k ? "b" : "a";
      const { x, y } = this.curves[k];
      const points = Array.from(x, (mm, i) => `${this.x(mm).toFixed(1)},${this.y(y[i]).toFixed(1)}`);
      const bend = side.s_first_bend_mm < side.length - 1e-6 ? side.length - side.s_first_bend_mm : null;
      const out = [draw("polyline", { points: points.join(" "), class: `line ${name}` })];
      if (bend !== null) {
        const [bx, by] = [this.x(bend), this.y(readAt(this.curves[k], bend))];
        out.push(draw("line", { x1: bx, x2: bx, y1: by - 7, y2: by + 7, class: `bend ${name}` }));
      }
      side.marks.forEach((mark) => out.push(this.dot(mark, k, name)));
      return out;
    });
  }

  dot(mark, k, name) {
    const [x, y] = [this.x(mark.distance_mm), this.y(readAt(this.curves[k], mark.distance_mm))];
    if (name === "a") return draw("circle", { cx: x, cy: y, r: 4, class: `dot ${name}` });
    return draw("rect", { x: x - 3.6, y: y - 3.6, width: 7.2, height: 7.2, class: `dot ${name}` });
  }

  follow(event) {
    if (!this.sides) return;
    const box = this.svg.getBoundingClientRect();
    const px = ((event.clientX - box.left) / box.width) * this.svg.viewBox.baseVal.width;
    this.move(Math.min(Math.max(this.back(px), 0), Number(this.probe.max)));
  }

  move(distance) {
    this.at = distance;
    this.probe.value = (Number(this.probe.max) - distance).toFixed(1);
    const values = this.curves.map((c) => readAt(c, distance));
    const words = values.map((v, k) => `${k ? "B" : "A"} ${v === null ? "–" : `${micro(v)} µm`}`);
    this.read.textContent = `${distance.toFixed(1)} mm from the end: ${words.join(", ")}`;
    this.probe.setAttribute("aria-valuetext", this.read.textContent);
    const { height } = this.svg.viewBox.baseVal;
    const x = this.x(distance);
    const ring = (v, k) =>
      v === null ? "" : draw("circle", { cx: x, cy: this.y(v), r: 6, class: `ring ${k ? "b" : "a"}` });
    this.line.replaceChildren(
      draw("line", { x1: x, x2: x, y1: MARGIN.top, y2: height - MARGIN.bottom }),
      ...values.map(ring),
    );
  }

  words() {
    const parts = this.curves.map(({ x, y }, k) => {
      const top = y.reduce((best, v, i) => (Math.abs(v) > Math.abs(y[best]) ? i : best), 0);
      return `Needle ${k ? "B" : "A"}: largest ${micro(y[top])} micrometres, ${x[top].toFixed(1)} millimetres from ` +
        "the end.";
    });
    return `${KINDS[this.kind].label} along the shaft. ${parts.join(" ")} Use the slider below to read values.`;
  }
}
