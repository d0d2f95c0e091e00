// One needle on its canvas: cells in colours of temperature, lines of equal temperature, the load.

import { colourOf, colourOfStep, inkOn, levelsOf, stepOf } from "./colours.js";
import { isotherm, labelPlaces } from "./isotherms.js";
import { colours } from "../../framework/theme.js";
import { STRETCH } from "./shape.js";

const LABEL_GAP = 26; // px between two numbers
// Names of the layers, from the hub on, and what share of the way each stands at.
const NAMES = { bore: "lumen", metal: "metal", annulus: "fluid", outer: "sleeve" };
const NAMES_AT = { first: 0.36, apart: 0.075 };
const ROOM_FOR_NAMES = 520; // px

export class Painter {
  constructor(canvas) {
    this.canvas = canvas;
    this.pen = canvas.getContext("2d");
  }

  /** Take a laid out needle and the scale of colours. */
  take(shape, scale) {
    this.shape = shape;
    this.scale = scale;
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    this.canvas.width = Math.round(shape.width * ratio);
    this.canvas.height = Math.round(shape.height * ratio);
    Object.assign(this.canvas.style, { width: `${shape.width}px`, height: `${shape.height}px` });
    this.ratio = ratio;
    this.levels = levelsOf(scale);
    this.dress();
  }

  /** Read the page's colours, which change with its theme. */
  dress() {
    const read = colours(this.canvas);
    this.ink = read("ink");
    this.soft = read("ink-soft");
    this.panel = read("panel");
    this.font = getComputedStyle(this.canvas).fontFamily;
  }

  paint({ press, probe, rough }) {
    const { pen, shape } = this;
    if (!shape) return;
    pen.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    pen.clearRect(0, 0, shape.width, shape.height);
    this.fill();
    this.lines();
    this.bar = press ? this.load(press) : null;
    this.isotherms(this.names());
    if (probe) this.cross(probe);
    if (rough) this.warn(rough);
  }

  fill() {
    const { pen, shape, scale } = this;
    const { now } = shape.side;
    for (const { path, index } of shape.cells) {
      pen.fillStyle = colourOfStep(stepOf(now[index], scale));
      pen.fill(path);
    }
  }

  lines() {
    const { pen, shape } = this;
    pen.lineWidth = 1;
    pen.strokeStyle = "rgb(255 255 255 / 55%)";
    for (const path of shape.borders) pen.stroke(path);
  }

  /** Name the layers below the needle, with threads up to them; gives where words stand. */
  names() {
    const { pen, shape } = this;
    if (shape.width < ROOM_FOR_NAMES) return [];
    const { side } = shape;
    pen.font = `12px ${this.font}`;
    pen.textAlign = "center";
    pen.lineWidth = 1;
    return Object.keys(NAMES).flatMap((layer, k) => {
      const slice = Math.round(side.slices * (NAMES_AT.first + k * NAMES_AT.apart));
      const row = side.rows.find((r) => r.layer === layer && r.side !== "pressed");
      if (!row || slice >= row.start + row.count) return [];
      const skin = shape.at(slice, -side.radii[side.radii.length - 3][slice])[1];
      const [x, y] = shape.at(slice, shape.middle(row, slice));
      pen.strokeStyle = this.soft;
      pen.beginPath();
      pen.moveTo(x, skin);
      pen.lineTo(x, skin + 8);
      pen.stroke();
      pen.strokeStyle = "#ffffff";
      pen.beginPath();
      pen.moveTo(x, skin);
      pen.lineTo(x, y);
      pen.stroke();
      pen.fillStyle = "#ffffff";
      pen.fillRect(x - 1.5, y - 1.5, 3, 3);
      pen.fillStyle = this.soft;
      pen.fillText(NAMES[layer], x, skin + 20);
      return [{ x, way: 1 }];
    });
  }

  isotherms(taken) {
    const { pen, shape, scale } = this;
    for (const level of this.levels) {
      const segments = isotherm(shape, level);
      if (!segments.length) continue;
      pen.beginPath();
      for (const [x1, y1, x2, y2] of segments) {
        pen.moveTo(x1, y1);
        pen.lineTo(x2, y2);
      }
      pen.lineWidth = level === 45 ? 2.4 : 1.3;
      pen.strokeStyle = inkOn(level, scale);
      pen.stroke();
      this.numbered(level, labelPlaces(segments), taken);
    }
  }

  /** Write a level's number above its lines, or below them where another one stands. */
  numbered(level, places, taken) {
    const words = this.bar ? this.bar.words : { from: 0, to: 0 };
    const free = ([x], way) =>
      taken.every((t) => t.way !== way || Math.abs(x - t.x) > LABEL_GAP) &&
      !(way < 0 && x > words.from - 12 && x < words.to + 12);
    const way = [-1, 1].find((w, k) => free(places[k], w));
    if (!way) return;
    const place = places[way < 0 ? 0 : 1];
    this.number(level, place, way);
    taken.push({ x: place[0], way });
  }

  /** The number of a line, off the needle, with a thread to it. */
  number(level, [x, y], way) {
    const { pen, scale, bar, shape } = this;
    const blocked = way < 0 && bar && x > bar.left - 12 && x < bar.right + 12;
    let middle = y + way * 20;
    if (blocked) middle = Math.min(middle, bar.top - 12);
    middle = Math.min(shape.height - 8, Math.max(9, middle));
    pen.font = `${level === 45 ? 700 : 600} 12px ${this.font}`;
    pen.textAlign = "center";
    pen.lineWidth = 1;
    pen.strokeStyle = this.soft;
    pen.beginPath();
    pen.moveTo(x, middle);
    pen.lineTo(x, y);
    pen.stroke();
    pen.fillStyle = colourOf(level, scale);
    const wide = pen.measureText(`${level}`).width + 8;
    pen.beginPath();
    pen.roundRect(x - wide / 2, middle - 8, wide, 16, 3);
    pen.fill();
    pen.fillStyle = inkOn(level, scale);
    pen.fillText(`${level}`, x, middle + 4);
  }

  /** The load: a bar on the pressed side, as long as it is, with its weight; gives its place. */
  load({ place, length, grams }) {
    const { pen, shape } = this;
    const i = Math.max(0, shape.side.edges.findIndex((s) => s > shape.side.length - place) - 1);
    const r = shape.side.radii[4][i] + 5 / shape.scale / STRETCH;
    const points = Array.from({ length: 9 }, (_, k) => shape.along(place + length / 2 - (k / 8) * length, r));
    pen.lineWidth = 5;
    pen.strokeStyle = this.ink;
    pen.beginPath();
    for (const point of points) pen.lineTo(...point);
    pen.stroke();
    const out = { left: points[0][0], right: points[8][0], top: Math.min(...points.map(([, y]) => y)) };
    pen.font = `650 12px ${this.font}`;
    pen.textAlign = "right";
    pen.fillStyle = this.ink;
    const text = `load ${Number(grams.toPrecision(3))} g ↓`;
    pen.fillText(text, out.left - 14, Math.max(12, out.top - 10));
    out.words = { from: out.left - 14 - pen.measureText(text).width, to: out.left - 14 };
    return out;
  }

  cross({ fromEnd, row, mine }) {
    const { pen, shape } = this;
    const i = shape.side.edges.findIndex((s) => s >= shape.side.length - fromEnd - 1e-9);
    const slice = Math.min(Math.max(0, i - 1), shape.side.slices - 1);
    if (slice < row.start || slice >= row.start + row.count) return;
    const [x, y] = shape.along(fromEnd, shape.middle(row, slice));
    for (const [width, colour] of [[4, "rgb(0 0 0 / 70%)"], [2, "#ffffff"]]) {
      pen.lineWidth = width;
      pen.strokeStyle = colour;
      pen.beginPath();
      pen.arc(x, y, mine ? 6 : 4, 0, 2 * Math.PI);
      pen.stroke();
    }
  }

  /** Words on a strip along the lower edge: the picture goes on, but is rough. */
  warn(words) {
    const { pen, shape } = this;
    pen.font = `650 13px ${this.font}`;
    pen.textAlign = "left";
    const width = Math.min(pen.measureText(words).width, shape.width - 16);
    pen.fillStyle = this.panel;
    pen.globalAlpha = 0.85;
    pen.fillRect(0, shape.height - 24, width + 16, 24);
    pen.globalAlpha = 1;
    pen.fillStyle = this.ink;
    pen.fillText(words, 8, shape.height - 8, width);
  }
}
