// One picture in the colours of a palette, with its scale, a ruler and the cursors over it.

import { make, ticks } from "../../framework/make.js";
import { numberText } from "../../framework/numbers.js";

const TALLEST = 178; // px of the picture
const RULER = 18;
const SCALE = { gap: 6, height: 12, text: 18, side: 12 };
const ARM = 8;
const GRAB = 9; // px within which an edge of the region is taken hold of
const LIGHT = "#ffffff";
const DARK = "rgb(0 0 0 / 80%)";

/** A temperature to a tenth of a degree, as text. @param {number} value */
export const tenth = (value) => (Number.isFinite(value) ? value.toFixed(1).replace("-", "−") : "–");

export class Picture {
  constructor() {
    this.canvas = make("canvas");
    this.pen = this.canvas.getContext("2d");
    this.sensor = make("canvas").getContext("2d");
  }

  take(film) {
    this.film = film;
    this.held = "";
    if (film) [this.sensor.canvas.width, this.sensor.canvas.height] = [film.columns, film.rows];
  }

  hold(words) {
    this.film = null;
    this.held = words;
  }

  /** Take room: all pictures of a page have the size of the one that is longest. */
  fit(width, shape) {
    const [rows, columns] = shape;
    this.scale = Math.min(width / columns, TALLEST / rows);
    this.wide = width;
    this.high = rows * this.scale;
    this.left = Math.max(0, (width - columns * this.scale) / 2);
    this.columns = columns;
    this.ratio = Math.min(2, window.devicePixelRatio || 1);
    const height = this.high + RULER + SCALE.gap + SCALE.height + SCALE.text;
    Object.assign(this.canvas.style, { width: `${width}px`, height: `${height}px` });
    Object.assign(this.canvas, { width: Math.round(width * this.ratio), height: Math.round(height * this.ratio) });
    this.dress();
  }

  dress() {
    const style = getComputedStyle(this.canvas);
    this.ink = style.color;
    this.font = style.fontFamily;
  }

  /** px of a place [mm]: the tip is at the right. */
  px(x) {
    const right = this.left + this.columns * this.scale;
    return right - ((x - this.film.x0) / this.film.pixel + 0.5) * this.scale;
  }

  py(y) {
    return this.high - ((y - this.film.y0) / this.film.pixel + 0.5) * this.scale;
  }

  /** The place [mm] of px. */
  find(px, py) {
    const { film, scale } = this;
    const right = this.left + this.columns * scale;
    return {
      x: film.x0 + ((right - px) / scale - 0.5) * film.pixel,
      y: film.y0 + ((this.high - py) / scale - 0.5) * film.pixel,
    };
  }

  /** What a press at px takes hold of: an edge of the region, or the point. */
  grip(px, cursors) {
    const near = (name) => Math.abs(this.px(cursors[name]) - px);
    const [one] = ["near", "far"].filter((name) => near(name) < GRAB).sort((a, b) => near(a) - near(b));
    return one ?? "point";
  }

  paint(index, cursors, range, palette) {
    const { pen, film } = this;
    if (!this.scale) return;
    pen.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    pen.clearRect(0, 0, this.wide, this.canvas.height);
    if (!film) {
      this.tell(this.held);
      return;
    }
    this.colour(index, range, palette);
    pen.imageSmoothingEnabled = false;
    pen.drawImage(this.sensor.canvas, this.left, 0, film.columns * this.scale, this.high);
    this.ruler();
    this.legend(range, palette);
    this.over(index, cursors);
  }

  tell(words) {
    const { pen } = this;
    pen.fillStyle = this.ink;
    pen.font = `600 14px ${this.font}`;
    pen.textAlign = "center";
    pen.fillText(words, this.wide / 2, this.high / 2, this.wide - 16);
  }

  colour(index, [low, high], palette) {
    const { film } = this;
    const { rows, columns } = film;
    const image = this.sensor.createImageData(columns, rows);
    const pixels = new Uint32Array(image.data.buffer);
    const [from, span] = [(low + 273.15) * 100, (high - low) * 100];
    const start = index * rows * columns;
    for (let row = 0; row < rows; row++) {
      const to = (rows - 1 - row) * columns + columns - 1;
      for (let column = 0; column < columns; column++) {
        const share = (film.pictures[start + row * columns + column] - from) / span;
        const k = 3 * Math.min(255, Math.max(0, Math.round(share * 255)));
        pixels[to - column] = 0xff000000 | (palette[k + 2] << 16) | (palette[k + 1] << 8) | palette[k];
      }
    }
    this.sensor.putImageData(image, 0, 0);
  }

  ruler() {
    const { pen, film } = this;
    pen.font = `12px ${this.font}`;
    pen.fillStyle = pen.strokeStyle = this.ink;
    pen.lineWidth = 1;
    pen.textAlign = "center";
    const end = film.x(film.columns - 1);
    for (let x = 0; x <= end; x += this.wide < 480 ? 10 : 5) {
      const at = this.px(x);
      pen.beginPath();
      pen.moveTo(at, this.high);
      pen.lineTo(at, this.high + 4);
      pen.stroke();
      pen.fillText(x === 0 ? "tip" : `${x} mm`, Math.min(at, this.wide - 12), this.high + 15);
    }
  }

  legend([low, high], palette) {
    const { pen } = this;
    const top = this.high + RULER + SCALE.gap;
    const [from, to] = [SCALE.side, this.wide - SCALE.side];
    const step = (to - from) / 128;
    for (let k = 0; k < 128; k++) {
      pen.fillStyle = `rgb(${palette.subarray(6 * k, 6 * k + 3).join(" ")})`;
      pen.fillRect(from + k * step, top, step + 0.6, SCALE.height);
    }
    pen.fillStyle = this.ink;
    pen.font = `12px ${this.font}`;
    pen.textAlign = "center";
    const inner = ticks(low, high, this.wide < 480 ? 3 : 6).filter((v) => v > low && v < high);
    for (const v of [low, ...inner, high]) {
      const at = from + ((v - low) / (high - low)) * (to - from);
      const ends = v === low || v === high;
      if (!ends && Math.min(at - from, to - at) < 44) continue;
      pen.textAlign = v === low ? "left" : v === high ? "right" : "center";
      pen.fillText(`${numberText(v)} °C`, at, top + SCALE.height + 13);
    }
  }

  // ---- cursors ----

  over(index, { point, height, near, far }) {
    const { pen, film, left } = this;
    const right = left + film.columns * this.scale;
    const half = film.reach / 2;
    const [x, y] = [this.px(point), this.py(height)];
    const box = [this.px(far), this.py(half), this.px(near) - this.px(far), this.py(-half) - this.py(half)];
    this.twice(() => {
      pen.strokeRect(...box);
    });
    pen.setLineDash([5, 4]);
    this.twice(() => this.stroke([left, y], [right, y]));
    pen.setLineDash([]);
    this.twice(() => {
      this.stroke([x - ARM, y], [x + ARM, y]);
      this.stroke([x, y - ARM], [x, y + ARM]);
    });
    const { row, column } = film.pixelOf(point, height);
    const reading = film.reading(index, row, column);
    const region = film.region(index, near, far);
    const top = film.hottest(index);
    const [tx, ty] = [this.px(film.x(top.column)), this.py(film.y(top.row))];
    this.twice(() => {
      pen.beginPath();
      pen.moveTo(tx, ty - 5);
      pen.lineTo(tx - 5, ty - 13);
      pen.lineTo(tx + 5, ty - 13);
      pen.closePath();
      pen.stroke();
    });
    const high = Math.max(26, ty - 17);
    this.name(`max ${tenth(top.value)}`, tx, high);
    this.name(`point ${tenth(reading)}`, x, Math.min(this.high - 5, Math.max(box[1] + box[3], y) + 16));
    const middle = (this.px(near) + this.px(far)) / 2;
    this.name(`region mean ${tenth(region.mean)}`, middle, Math.max(12, Math.min(box[1] - 5, high - 14)));
  }

  stroke([ax, ay], [bx, by]) {
    this.pen.beginPath();
    this.pen.moveTo(ax, ay);
    this.pen.lineTo(bx, by);
    this.pen.stroke();
  }

  /** Draw dark and wide, then light and narrow: seen on any colour. */
  twice(draw) {
    for (const [colour, width] of [[DARK, 3.5], [LIGHT, 1.5]]) {
      Object.assign(this.pen, { strokeStyle: colour, lineWidth: width });
      draw();
    }
  }

  name(text, x, y) {
    const { pen } = this;
    pen.font = `600 13px ${this.font}`;
    const half = pen.measureText(text).width / 2 + 4;
    const at = Math.min(this.wide - half, Math.max(half, x));
    pen.textAlign = "center";
    pen.lineJoin = "round";
    Object.assign(pen, { strokeStyle: DARK, lineWidth: 4 });
    pen.strokeText(text, at, y);
    pen.fillStyle = LIGHT;
    pen.fillText(text, at, y);
  }
}
