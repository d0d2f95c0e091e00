// Draw a curve along the needle before it is seen: by pointer, or handle by handle by keyboard.

import { draw, make, ticks } from "../../../framework/make.js";
import { millimetres } from "./text.js";

const SIZE = { width: 640, height: 250 };
const FRAME = { left: 40, right: 14, top: 14, bottom: 40 };
const STEP = 0.05;

class Sketch {
  constructor(data, say) {
    this.data = data;
    this.say = say;
    this.places = data.places;
    this.heights = this.places.map(() => 0);
    this.touched = false;
    this.active = 0;
    this.build();
    this.paint();
  }

  x(mm) {
    return FRAME.left + (1 - mm / this.data.length_mm) * (SIZE.width - FRAME.left - FRAME.right);
  }

  y(height) {
    return FRAME.top + (1 - height) * (SIZE.height - FRAME.top - FRAME.bottom);
  }

  build() {
    this.svg = draw("svg", { viewBox: `0 0 ${SIZE.width} ${SIZE.height}`, class: "sketch", role: "group" });
    this.svg.setAttribute("aria-label", `${this.data.title}. Distance from the end below, stroke upward.`);
    this.axes();
    this.line = draw("path", { class: "given" });
    this.svg.append(this.line);
    this.handles = this.places.map((mm, i) => this.handle(mm, i));
    this.svg.append(...this.handles);
    this.listen();
  }

  axes() {
    const bottom = this.y(0);
    const words = (x, y, text, anchor = "middle") => {
      const node = draw("text", { x, y, "text-anchor": anchor });
      node.textContent = text;
      return node;
    };
    this.svg.append(
      draw("path", { class: "axis", d: `M${this.x(this.data.length_mm)} ${this.y(1)}V${bottom}H${this.x(0)}` }),
    );
    for (const mm of ticks(0, this.data.length_mm, 8)) this.svg.append(words(this.x(mm), bottom + 16, String(mm)));
    this.svg.append(words(this.x(this.data.length_mm / 2), SIZE.height - 6, "mm from the end (hub left, end right)"));
    this.svg.append(words(FRAME.left - 6, this.y(1) + 8, "most", "end"), words(FRAME.left - 6, bottom, "still", "end"));
  }

  handle(mm, i) {
    const node = draw("circle", { class: "handle", r: 7, cx: this.x(mm), role: "slider" });
    const fixed = { "aria-orientation": "vertical", "aria-valuemin": "0", "aria-valuemax": "100" };
    for (const [name, value] of Object.entries(fixed)) node.setAttribute(name, value);
    node.setAttribute("aria-label", `Stroke ${millimetres(mm)} from the end`);
    node.addEventListener("keydown", (event) => this.key(event, i));
    node.addEventListener("focus", () => this.activate(i));
    return node;
  }

  key(event, i) {
    const moves = { ArrowLeft: -1, ArrowRight: 1 };
    const lifts = { ArrowUp: STEP, ArrowDown: -STEP, PageUp: 5 * STEP, PageDown: -5 * STEP };
    const ends = { Home: 1, End: 0 };
    if (this.locked) return;
    if (event.key in moves) {
      const to = Math.min(this.handles.length - 1, Math.max(0, i + moves[event.key]));
      this.activate(to);
      this.handles[to].focus();
    } else if (event.key in lifts) this.set(i, this.heights[i] + lifts[event.key]);
    else if (event.key in ends) this.set(i, ends[event.key]);
    else return;
    event.preventDefault();
  }

  activate(i) {
    this.active = i;
    this.paint();
  }

  set(i, height) {
    this.heights[i] = Math.round(Math.min(1, Math.max(0, height)) * 100) / 100;
    this.touched = true;
    this.paint();
  }

  listen() {
    let last = null;
    const read = (event) => {
      const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
      const height = 1 - (at.y - FRAME.top) / (SIZE.height - FRAME.top - FRAME.bottom);
      return { x: at.x, height: Math.min(1, Math.max(0, height)) };
    };
    this.svg.addEventListener("pointerdown", (event) => {
      if (this.locked) return;
      this.svg.setPointerCapture(event.pointerId);
      last = read(event);
      this.stroke(last, last);
    });
    this.svg.addEventListener("pointermove", (event) => {
      if (!last) return;
      const now = read(event);
      this.stroke(last, now);
      last = now;
    });
    for (const end of ["pointerup", "pointercancel"]) this.svg.addEventListener(end, () => (last = null));
  }

  /** Set every handle that the pointer passed between two places, and the one it is nearest to. */
  stroke(from, to) {
    const gap = Math.abs(this.x(this.places[0]) - this.x(this.places[1]));
    this.places.forEach((mm, i) => {
      const x = this.x(mm);
      const passed = (x - from.x) * (x - to.x) <= 0 && from.x !== to.x;
      if (passed) this.set(i, from.height + ((x - from.x) / (to.x - from.x)) * (to.height - from.height));
      else if (Math.abs(x - to.x) <= gap / 2) this.set(i, to.height);
    });
  }

  /** [mm from the end, height] of each handle. */
  points() {
    return this.places.map((mm, i) => [mm, this.heights[i]]);
  }

  paint() {
    this.line.setAttribute(
      "d",
      `M${this.places.map((mm, i) => `${this.x(mm)} ${this.y(this.heights[i]).toFixed(1)}`).join("L")}`,
    );
    this.handles.forEach((node, i) => {
      const percent = Math.round(this.heights[i] * 100);
      node.setAttribute("cy", this.y(this.heights[i]).toFixed(1));
      node.setAttribute("aria-valuenow", percent);
      node.setAttribute("aria-valuetext", `${percent} of 100`);
      if (!this.locked) node.setAttribute("tabindex", i === this.active ? "0" : "-1");
    });
  }

  lock() {
    this.locked = true;
    this.handles.forEach((node) => node.remove());
    this.svg.setAttribute("role", "img");
  }

  /** The model's curve over the drawn one: both from still to most. */
  showTruth(curve) {
    const d = `M${curve.map(([mm, height]) => `${this.x(mm).toFixed(1)} ${this.y(height).toFixed(1)}`).join("L")}`;
    this.svg.append(draw("path", { class: "truth", d }));
  }
}

export function sketchWidget(data, say) {
  const sketch = new Sketch(data, say);
  const hint = make(
    "p",
    { className: "soft" },
    "Draw with the pointer. By keyboard: left and right choose a place, up and down lift it. Only the shape counts.",
  );
  const node = make("div", { className: "sketching rows" }, sketch.svg, hint);
  return {
    node,
    empty: "Draw the curve first.",
    answer: () => (sketch.touched ? sketch.points() : null),
    show(points) {
      sketch.heights = points.map(([, height]) => height);
      sketch.touched = true;
      sketch.paint();
    },
    lock(judged) {
      sketch.lock();
      hint.textContent = "Your drawing.";
      if (!judged?.curve) return;
      sketch.showTruth(judged.curve);
      hint.replaceChildren(
        make("span", { className: "key given" }, "your drawing"),
        make("span", { className: "key truth" }, "the model"),
      );
    },
  };
}
