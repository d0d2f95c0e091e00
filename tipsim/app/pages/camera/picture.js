// One picture at a time, as the sensor gave it, with what the software found drawn over it.

import { make } from "../../framework/make.js";

const TALLEST = 340; // px
const ARM = 7; // px, half of a cross

/** Grey levels of picture `index` as an image. */
export function imageOf(film, index) {
  const [, rows, columns] = film.shape;
  const size = rows * columns;
  const grey = film.pictures.subarray(index * size, (index + 1) * size);
  const image = new ImageData(columns, rows);
  new Uint32Array(image.data.buffer).set(Uint32Array.from(grey, (level) => 0xff000000 | (level * 0x010101)));
  return image;
}

export class Picture {
  constructor() {
    this.canvas = make("canvas", { className: "picture", role: "img", hidden: true });
    this.pen = this.canvas.getContext("2d");
    this.sensor = make("canvas").getContext("2d");
  }

  take(film) {
    this.canvas.hidden = false;
    this.film = film;
    [, this.sensor.canvas.height, this.sensor.canvas.width] = film.shape;
    this.canvas.setAttribute("aria-label", film.words);
  }

  /** Take the room that pictures of a film need, also while they are still to come. */
  fit(width, film) {
    if (!film || width <= 0) return;
    const [, rows, columns] = film.shape;
    this.scale = Math.min(width / columns, TALLEST / rows);
    this.ratio = Math.min(2, window.devicePixelRatio || 1);
    const [w, h] = [columns * this.scale, rows * this.scale];
    Object.assign(this.canvas.style, { width: `${w}px`, height: `${h}px` });
    Object.assign(this.canvas, { width: Math.round(w * this.ratio), height: Math.round(h * this.ratio) });
  }

  paint(index, chosen) {
    const { film, pen, sensor } = this;
    if (!film || !this.scale) return;
    sensor.putImageData(imageOf(film, index), 0, 0);
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.imageSmoothingEnabled = false;
    pen.drawImage(sensor.canvas, 0, 0, this.canvas.width, this.canvas.height);
    pen.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    for (const mark of film.marks) this.cross(mark, index, mark.number === chosen);
  }

  cross(mark, index, chosen) {
    const { pen, scale } = this;
    const at = ([column, row]) => [(column + 0.5) * scale, (row + 0.5) * scale];
    const [x, y] = at(mark.places.subarray(2 * index, 2 * index + 2));
    const isFound = Number.isFinite(x);
    const arm = chosen ? ARM + 2 : ARM;
    pen.lineCap = "round";
    const looks = [["rgb(0 0 0 / 75%)", chosen ? 4.5 : 3.5], ["#ffb454", chosen ? 2.2 : 1.4]];
    for (const [colour, width] of isFound ? looks : []) {
      Object.assign(pen, { strokeStyle: colour, lineWidth: width });
      pen.beginPath();
      pen.moveTo(x - arm, y);
      pen.lineTo(x + arm, y);
      pen.moveTo(x, y - arm);
      pen.lineTo(x, y + arm);
      pen.stroke();
    }
    this.name(`${mark.number}${isFound ? "" : " lost"}`, at(mark.rest), chosen);
  }

  /** @param {string} text @param {number[]} at @param {boolean} chosen */
  name(text, [x, y], chosen) {
    const { pen, film, scale } = this;
    pen.font = `${chosen ? 700 : 600} 13px ${getComputedStyle(this.canvas).fontFamily}`;
    pen.textAlign = "center";
    const below = Math.min(y + (film.dot / film.pixel + 3) * scale + 22, film.shape[1] * scale - 5);
    pen.strokeStyle = "rgb(255 255 255 / 85%)";
    pen.lineWidth = 3;
    pen.strokeText(text, x, below);
    pen.fillStyle = "#10181b";
    pen.fillText(text, x, below);
  }
}
