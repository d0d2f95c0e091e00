// Motion along the shaft of both needles.

import { ChartChoice } from "../framework/chart_choice.js";
import { valueAt } from "../framework/chart_data.js";
import { make } from "../framework/make.js";

const KINDS = {
  "along.sideways": "Sideways stroke",
  "along.signed": "In step or out of step with the tip",
  "along.lengthwise": "Along the shaft",
  "along.turning": "Surface motion from twist",
};

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

export class AlongPlot {
  constructor() {
    this.choice = new ChartChoice(KINDS, "What is drawn along the shaft");
    const top = make("div", { className: "top" }, make("h2", {}, "Motion along the shaft"), this.choice.select);
    this.node = make("section", { className: "card" }, top, this.choice.node);
  }

  show(sides) {
    this.choice.show((name) => drawn(sides, name.split(".")[1]));
  }
}

/** What a chart draws: both curves, the markers, and where each needle first bends. */
function drawn(sides, kind) {
  const curves = sides.map((side) => curve(side, kind));
  const dots = sides.flatMap((side, k) => {
    const { x, y } = curves[k];
    const dot = (at, more) => ({ x: at, y: valueAt(x, y, at), side: "ab"[k], ...more });
    const bend = side.length - side.s_first_bend_mm;
    const bends = bend > 1e-6 ? [dot(bend, { hollow: true, label: `${"AB"[k]} bends` })] : [];
    return [...side.marks.map((mark) => dot(mark.distance_mm)), ...bends];
  });
  const longest = Math.max(...sides.map((side) => side.length));
  return { lines: { a: curves[0], b: curves[1] }, dots: dots.filter(({ y }) => y !== null), x: [0, longest] };
}
