// One picture at a time, as the sensor gave it, with what the software found drawn over it.

import { make } from "../framework/make.js";

const TALLEST = 340; // px
const ARM = 7; // px, half of a cross

export class Player {
  constructor() {
    this.canvas = make("canvas", { className: "picture" });
    this.canvas.setAttribute("role", "img");
    this.pen = this.canvas.getContext("2d");
    this.sensor = make("canvas").getContext("2d", { willReadFrequently: true });
  }

  take(film) {
    this.film = film;
    this.sensor.canvas.width = film.columns;
    this.sensor.canvas.height = film.rows;
    this.image = this.sensor.createImageData(film.columns, film.rows);
    this.canvas.setAttribute("aria-label", film.told);
  }

  fit(width) {
    const { film, canvas } = this;
    if (!film || !width) return;
    this.scale = Math.min(width / film.columns, TALLEST / film.rows);
    this.ratio = Math.min(2, window.devicePixelRatio || 1);
    const [w, h] = [film.columns * this.scale, film.rows * this.scale];
    canvas.style.width = `${w}px`;
    canvas.style.height = `${h}px`;
    canvas.width = Math.round(w * this.ratio);
    canvas.height = Math.round(h * this.ratio);
  }

  paint(index, chosen) {
    const { film, pen, image, sensor } = this;
    if (!film || !this.scale) return;
    const size = film.rows * film.columns;
    const grey = film.frames.subarray(index * size, (index + 1) * size);
    const pixels = new Uint32Array(image.data.buffer);
    for (let i = 0; i < size; i++) pixels[i] = 0xff000000 | (grey[i] * 0x010101);
    sensor.putImageData(image, 0, 0);
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.imageSmoothingEnabled = false;
    pen.drawImage(sensor.canvas, 0, 0, this.canvas.width, this.canvas.height);
    pen.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    for (const mark of film.marks) this.cross(mark, index, mark.number === chosen);
  }

  cross(mark, index, chosen) {
    const { pen, scale } = this;
    const at = ([column, row]) => [(column + 0.5) * scale, (row + 0.5) * scale];
    const place = mark.seen_px[index];
    const [x, y] = at(place ?? mark.rest_px);
    const arm = chosen ? ARM + 2 : ARM;
    const lines = new Path2D();
    if (place) {
      lines.moveTo(x - arm, y);
      lines.lineTo(x + arm, y);
      lines.moveTo(x, y - arm);
      lines.lineTo(x, y + arm);
    }
    pen.lineCap = "round";
    pen.strokeStyle = "rgb(0 0 0 / 75%)";
    pen.lineWidth = chosen ? 4.5 : 3.5;
    pen.stroke(lines);
    pen.strokeStyle = "#ffb454";
    pen.lineWidth = chosen ? 2.2 : 1.4;
    pen.stroke(lines);
    this.name(`${mark.number}${place ? "" : " lost"}`, at(mark.rest_px), chosen);
  }

  /** @param {string} text @param {number[]} at @param {boolean} chosen */
  name(text, [x, y], chosen) {
    const { pen, film, scale } = this;
    const dot = film.dot_um / film.pixel_um;
    pen.font = `${chosen ? 700 : 600} 13px ${getComputedStyle(this.canvas).fontFamily}`;
    pen.textAlign = "center";
    const below = Math.min(y + (dot + 3) * scale + 22, film.rows * scale - 5);
    pen.strokeStyle = "rgb(255 255 255 / 85%)";
    pen.lineWidth = 3;
    pen.strokeText(text, x, below);
    pen.fillStyle = "#10181b";
    pen.fillText(text, x, below);
  }
}
