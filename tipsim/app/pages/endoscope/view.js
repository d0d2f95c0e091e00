// One needle's film: the picture of now, rings around what was counted, the region and its reading.

import { make } from "../../framework/make.js";
import { numberText } from "../../framework/numbers.js";

const STEP = 2; // % of the picture that an arrow key moves the region
const SENT_MS = 400; // after the last key

const KEYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const within = (value) => Math.min(100, Math.max(0, Math.round(value)));

export class View {
  /** @param {string} key @param {(place: [number, number], done: boolean) => void} move */
  constructor(key, move) {
    this.key = key;
    this.move = move;
    this.x = 50;
    this.y = 50;
    this.touched = false;
    this.canvas = make("canvas", { role: "img" });
    this.pen = this.canvas.getContext("2d");
    this.title = make("span");
    this.reading = make("span", { className: "reading" });
    this.box = make("button", {
      type: "button",
      className: "region",
      ariaLabel: `Region of ${key.toUpperCase()}: arrow keys move it`,
      keydown: (event) => this.keyed(event),
    });
    this.room = make("div", { className: "room" }, this.canvas, this.box);
    this.room.addEventListener("pointerdown", (event) => this.grab(event));
    const caption = make("figcaption", {}, this.title, this.reading);
    this.node = make("figure", { className: "view sheet" }, caption, this.room);
  }

  take(side) {
    this.side = side;
    const [, rows, columns] = side.shape;
    Object.assign(this.canvas, { width: columns, height: rows });
    this.canvas.setAttribute("aria-label", side.words);
    const letter = make("span", { className: `letter ${side.key}` }, side.key.toUpperCase());
    this.title.replaceChildren(letter, ` ${side.title}`);
    const [x, y, size] = side.region.map((share) => 100 * share);
    this.size = size;
    Object.assign(this.box.style, { width: `${size}%`, height: `${size}%` });
    this.place(x, y);
    this.index = null;
  }

  place(x, y) {
    [this.x, this.y] = [x, y];
    Object.assign(this.box.style, { left: `${x}%`, top: `${y}%` });
  }

  /** Paint the picture of a time [s]; returns whether it is another one. */
  paint(time, rings, anew) {
    const { side, pen } = this;
    if (!side) return false;
    const [count, rows, columns] = side.shape;
    const index = Math.min(count - 1, Math.floor(time * side.rate + 1e-6));
    if (index === this.index && !anew) return false;
    this.index = index;
    const grey = side.pictures.subarray(index * rows * columns, (index + 1) * rows * columns);
    const image = new ImageData(columns, rows);
    new Uint32Array(image.data.buffer).set(Uint32Array.from(grey, (level) => 0xff000000 | (level * 0x010101)));
    pen.putImageData(image, 0, 0);
    if (rings && side.spots) this.rings(index);
    const level = this.level(grey, rows, columns);
    const found = side.seen ? `${numberText(side.seen[index], 2)} specks; ` : "";
    const words = `${found}region ${Math.round(level)} of 255`;
    // Few numbers at first: these come once a person asks for them.
    this.reading.textContent = rings || this.touched ? words : "";
    this.words = `${this.key.toUpperCase()}: ${words}.`;
    return true;
  }

  rings(index) {
    const { pen, side } = this;
    Object.assign(pen, { strokeStyle: "#ffb454", lineWidth: 0.7 });
    for (let i = side.cut[index]; i < side.cut[index + 1]; i++) {
      pen.beginPath();
      pen.arc(side.spots[2 * i] + 0.5, side.spots[2 * i + 1] + 0.5, 3, 0, 7);
      pen.stroke();
    }
  }

  /** Mean level of the region. */
  level(grey, rows, columns) {
    const span = (middle, n) => {
      const low = Math.min(n - 1, Math.max(0, Math.round(((middle - this.size / 2) / 100) * n)));
      const high = Math.round(((middle + this.size / 2) / 100) * n);
      return [low, Math.min(n, Math.max(low + 1, high))];
    };
    const [[top, bottom], [left, right]] = [span(this.y, rows), span(this.x, columns)];
    let sum = 0;
    for (let r = top; r < bottom; r++) for (let c = left; c < right; c++) sum += grey[r * columns + c];
    return sum / ((bottom - top) * (right - left));
  }

  // ---- the region, by pointer and by keys ----

  grab(event) {
    event.preventDefault();
    this.box.focus({ preventScroll: true });
    /** @returns {[number, number]} */
    const at = ({ clientX, clientY }) => {
      const { left, top, width, height } = this.room.getBoundingClientRect();
      return [within((100 * (clientX - left)) / width), within((100 * (clientY - top)) / height)];
    };
    const follow = (/** @type {PointerEvent} */ moved) => this.move(at(moved), false);
    const end = (/** @type {PointerEvent} */ last) => {
      this.room.removeEventListener("pointermove", follow);
      this.move(at(last), true);
    };
    this.room.setPointerCapture(event.pointerId);
    this.room.addEventListener("pointermove", follow);
    this.room.addEventListener("pointerup", end, { once: true });
    follow(event);
  }

  keyed(event) {
    const way = KEYS[event.key];
    if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    event.stopPropagation();
    /** @type {[number, number]} */
    const place = [within(this.x + STEP * way[0]), within(this.y + STEP * way[1])];
    this.move(place, false);
    clearTimeout(this.sending);
    this.sending = setTimeout(() => this.move(place, true), SENT_MS);
  }
}
