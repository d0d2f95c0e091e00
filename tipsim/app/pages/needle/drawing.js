// The picture without its handles: grid, tube with bore, the chosen piece, what was typed.

import { draw } from "../../framework/make.js";
import { beside, ring, stations, walk } from "./line.js";

const LABEL_EVERY = 5;

/** From mm to pixels; y goes up. */
export class Eye {
  constructor(scale, x0, y0) {
    this.scale = scale;
    this.x0 = x0;
    this.y0 = y0;
  }

  px([x, y]) {
    return [this.x0 + this.scale * x, this.y0 - this.scale * y];
  }

  mm([x, y]) {
    return [(x - this.x0) / this.scale, (this.y0 - y) / this.scale];
  }
}

/** Corners of what a needle covers, in mm: [left, low, right, high]. */
export function extent(needle, from = 0, to = Infinity) {
  const all = stations(needle);
  const line = all.filter(({ s }) => s >= from && s <= to);
  const points = line.flatMap((station) => [beside(station, station.outer), beside(station, -station.outer)]);
  if (line.includes(all[all.length - 1])) points.push(...ring(needle, line, "outer"));
  const [x, y] = [points.map((p) => p[0]), points.map((p) => p[1])];
  return [Math.min(...x), Math.min(...y), Math.max(...x), Math.max(...y)];
}

const pathOf = (eye, points, closed = true) =>
  "M" + points.map((p) => eye.px(p).map((v) => v.toFixed(2)).join(" ")).join("L") + (closed ? "Z" : "");

export class Drawing {
  constructor(svg) {
    const layer = (name) => {
      const node = draw("g", { class: name, "aria-hidden": "true" });
      svg.append(node);
      return node;
    };
    this.grid = layer("grid");
    this.tube = layer("tube");
    this.numbers = layer("numbers");
  }

  draw(eye, size, { solid, ghost, chosen }) {
    this.drawGrid(eye, size);
    const parts = [];
    if (ghost) parts.push(draw("path", { class: "ghost", d: pathOf(eye, ring(ghost, stations(ghost), "outer")) }));
    parts.push(...this.solidParts(eye, solid, ghost ? null : chosen));
    this.tube.replaceChildren(...parts);
    this.drawNumbers(eye, ghost ?? solid, chosen);
  }

  solidParts(eye, needle, chosen) {
    const line = stations(needle);
    const starts = walk(needle.pieces);
    const parts = [
      draw("path", { class: "metal", d: pathOf(eye, ring(needle, line, "outer")) }),
      draw("path", { class: "bore", d: pathOf(eye, ring(needle, line, "inner")) }),
    ];
    if (needle.pieces[chosen]) {
      const [from, to] = [starts[chosen].s - 1e-9, starts[chosen + 1].s + 1e-9];
      const part = line.filter(({ s }) => s >= from && s <= to);
      const isLast = chosen === needle.pieces.length - 1;
      const cut = isLast ? needle : { ...needle, bevel: 0 };
      parts.push(draw("path", { class: "chosen", d: pathOf(eye, ring(cut, part, "outer")) }));
    }
    for (const start of starts.slice(1, -1)) {
      const here = line.find(({ s }) => Math.abs(s - start.s) < 1e-9);
      const across = [beside(here, here.outer), beside(here, -here.outer)];
      parts.push(draw("path", { class: "joint", d: pathOf(eye, across, false) }));
    }
    parts.push(draw("path", { class: "axis", d: pathOf(eye, line.map(({ x, y }) => [x, y]), false) }));
    parts.push(...this.holeParts(eye, needle, line));
    return parts;
  }

  holeParts(eye, needle, line) {
    const [across, distance] = needle.hole;
    if (!across) return [];
    const near = line.reduce((a, b) => (Math.abs(b.s - distance) < Math.abs(a.s - distance) ? b : a));
    const [x, y] = eye.px([near.x, near.y]);
    return [draw("circle", { class: "hole", cx: x, cy: y, r: Math.max(1.5, (across / 2) * eye.scale) })];
  }

  drawGrid(eye, [width, height]) {
    const [left, high] = eye.mm([0, 0]);
    const [right, low] = eye.mm([width, height]);
    const lines = { fine: "", strong: "" };
    const texts = [];
    for (let x = Math.ceil(left); x <= right; x++) {
      const px = eye.px([x, 0])[0].toFixed(1);
      lines[x % LABEL_EVERY ? "fine" : "strong"] += `M${px} 0V${height}`;
      if ((x % LABEL_EVERY === 0 || eye.scale > 60) && px > 8 && px < width - 30) {
        texts.push(draw("text", { x: px, y: height - 6 }, x === 0 ? "0 mm" : String(x).replace("-", "−")));
      }
    }
    for (let y = Math.ceil(low); y <= high; y++) {
      lines[y % LABEL_EVERY ? "fine" : "strong"] += `M0 ${eye.px([0, y])[1].toFixed(1)}H${width}`;
    }
    this.grid.replaceChildren(
      draw("path", { class: "fine", d: lines.fine }),
      draw("path", { class: "strong", d: lines.strong }),
      ...texts,
    );
  }

  // The number of each piece beside it, where there is room for it.
  drawNumbers(eye, needle, chosen) {
    const line = stations(needle);
    const starts = walk(needle.pieces);
    const texts = [];
    let free = -Infinity;
    needle.pieces.forEach((piece, i) => {
      const middle = starts[i].s + piece.length / 2;
      const here = line.reduce((a, b) => (Math.abs(b.s - middle) < Math.abs(a.s - middle) ? b : a));
      const [x, y] = eye.px(beside(here, here.outer + 12 / eye.scale));
      if (x < free && i !== chosen) return;
      free = x + 14;
      texts.push(draw("text", { x, y, class: i === chosen ? "now" : "" }, String(i + 1)));
    });
    this.numbers.replaceChildren(...texts);
  }
}
