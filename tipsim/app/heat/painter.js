// One needle on its canvas: cells in colours of temperature, lines of equal temperature, the load.

import { colourOf, colourOfStep, inkOn, levelsOf, stepOf } from "./colours.js";
import { isotherm, labelPlace } from "./isotherms.js";
import { ticks } from "../shared/make.js";
import { STRETCH } from "./shape.js";

const LABEL_GAP = 26; // px between two numbers

export class Painter {
  constructor(canvas) {
    this.canvas = canvas;
    this.pen = canvas.getContext("2d");
  }

  /** Take a laid out needle and the scale of colours. */
  take(shape, scale) {
    Object.assign(this, { shape, scale });
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    this.canvas.width = Math.round(shape.width * ratio);
    this.canvas.height = Math.round(shape.height * ratio);
    Object.assign(this.canvas.style, { width: `${shape.width}px`, height: `${shape.height}px` });
    this.ratio = ratio;
    this.levels = levelsOf(scale, ticks);
  }

  paint({ press, probe, over }) {
    const { pen, shape } = this;
    if (!shape) return;
    const style = getComputedStyle(this.canvas);
    this.ink = style.getPropertyValue("--ts-ink").trim();
    this.soft = style.getPropertyValue("--ts-ink-soft").trim();
    this.panel = style.getPropertyValue("--ts-panel").trim();
    this.font = style.fontFamily;
    pen.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    pen.clearRect(0, 0, shape.width, shape.height);
    this.fill();
    this.lines();
    this.isotherms();
    if (press) this.load(press);
    if (probe) this.cross(probe);
    if (over) this.ended(over);
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

  isotherms() {
    const { pen, shape, scale } = this;
    const taken = [];
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
      const place = labelPlace(segments);
      if (taken.every((x) => Math.abs(x - place[0]) > LABEL_GAP)) {
        this.number(level, place, segments);
        taken.push(place[0]);
      }
    }
  }

  /** The number of a line, above the needle, with a thread down to it. */
  number(level, [x, y]) {
    const { pen, scale } = this;
    const top = Math.max(12, y - 16);
    pen.font = `${level === 45 ? 700 : 600} 12px ${this.font}`;
    pen.textAlign = "center";
    pen.lineWidth = 1;
    pen.strokeStyle = this.soft;
    pen.beginPath();
    pen.moveTo(x, top + 2);
    pen.lineTo(x, y);
    pen.stroke();
    pen.fillStyle = colourOf(level, scale);
    const wide = pen.measureText(`${level}`).width + 8;
    pen.beginPath();
    pen.roundRect(x - wide / 2, top - 11, wide, 15, 3);
    pen.fill();
    pen.fillStyle = inkOn(level, scale);
    pen.fillText(`${level}`, x, top + 1);
  }

  /** The load: a bar on the pressed side, as long as it is, with its weight. */
  load({ place_mm: place, length_mm: length, force_g: grams }) {
    const { pen, shape } = this;
    const half = length / 2;
    const i = Math.max(0, shape.side.edges_mm.findIndex((s) => s > shape.side.length - place) - 1);
    const r = shape.side.radii_mm[4][i] + 5 / shape.scale / STRETCH;
    pen.lineWidth = 5;
    pen.strokeStyle = this.ink;
    pen.beginPath();
    for (let k = 0; k <= 8; k++) pen.lineTo(...shape.along(place + half - (k / 8) * length, r));
    pen.stroke();
    const [x, y] = shape.along(place, r);
    pen.font = `650 12px ${this.font}`;
    pen.textAlign = "right";
    pen.fillStyle = this.ink;
    pen.fillText(`${Number(grams.toPrecision(3))} g ↓`, x - (half * shape.scale + 8), Math.max(12, y + 2));
  }

  cross({ fromEnd, row, mine }) {
    const { pen, shape } = this;
    const i = shape.side.edges_mm.findIndex((s) => s >= shape.side.length - fromEnd - 1e-9);
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

  ended(words) {
    const { pen, shape } = this;
    pen.fillStyle = this.panel;
    pen.globalAlpha = 0.72;
    pen.fillRect(0, 0, shape.width, shape.height);
    pen.globalAlpha = 1;
    pen.font = `650 14px ${this.font}`;
    pen.textAlign = "center";
    pen.fillStyle = this.ink;
    pen.fillText(words, shape.width / 2, shape.height / 2 + 5);
  }
}
