// Gaps and running work of both benches over the stretch, with "now".

import { draw, make, ticks } from "../framework/make.js";

const PAD = { left: 52, right: 10 };
const GAP_ROW = { top: 18, height: 78 };
const LIT_ROW = { top: 108, height: 22 };
const WORK_ROW = { top: 150, height: 74 };
const FOOT = 30;

export class Trace {
  constructor(pick) {
    this.svg = draw("svg", { role: "img", class: "trace" });
    this.now = draw("line", { class: "now" });
    for (const kind of ["pointerdown", "pointermove"]) {
      this.svg.addEventListener(kind, (event) => {
        if (kind === "pointermove" && !event.buttons) return;
        const box = this.svg.getBoundingClientRect();
        const px = ((event.clientX - box.left) / box.width) * this.width;
        pick(((px - PAD.left) / (this.width - PAD.left - PAD.right)) * this.head.seconds);
      });
    }
    this.node = make("div", {}, this.svg);
  }

  take(head) {
    this.head = head;
    this.paint();
  }

  x(time) {
    return PAD.left + (time / this.head.seconds) * (this.width - PAD.left - PAD.right);
  }

  paint() {
    if (!this.head || !this.node.clientWidth) return;
    this.width = Math.max(290, this.node.clientWidth);
    const height = WORK_ROW.top + WORK_ROW.height + FOOT;
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${height}`);
    const { sides } = this.head;
    const gaps = sides.flatMap((s) => [...s.gaps]);
    const span = (values) => values.reduce(([l, h], v) => [Math.min(l, v), Math.max(h, v)], [0, 1e-9]);
    const most = Math.max(1e-3, ...sides.map((s) => s.work[s.work.length - 1]));
    this.svg.replaceChildren(
      ...this.row("Gap, mm (below 0: pressed on)", GAP_ROW, span(gaps), (s) => s.gaps),
      ...this.contacts(),
      ...this.row("Work of rubbing so far, mJ", WORK_ROW, [0, most * 1.05], (s) => s.work),
      ...this.axis(height),
      this.now,
    );
  }

  row(label, { top, height }, [low, high], curve) {
    const y = (v) => top + height - ((v - low) / (high - low)) * height;
    const out = [draw("text", { x: PAD.left, y: top - 6, class: "axis" })];
    out[0].textContent = label;
    for (const v of ticks(low, high, 3)) {
      out.push(
        draw("line", { x1: PAD.left, x2: this.width - PAD.right, y1: y(v), y2: y(v), class: v ? "grid" : "zero" }),
      );
      const text = draw("text", { x: PAD.left - 6, y: y(v) + 4, class: "tick end" });
      text.textContent = String(Number(v.toPrecision(4)));
      out.push(text);
    }
    for (const side of this.head.sides) {
      const points = [];
      const values = curve(side);
      for (let i = 0; i < values.length; i++)
        points.push(`${this.x(i * this.head.step).toFixed(1)},${y(values[i]).toFixed(1)}`);
      out.push(draw("polyline", { points: points.join(" "), class: `line ${side.key}` }));
    }
    return out;
  }

  /** Each side's contacts as marks in a row of its own. */
  contacts() {
    const out = [];
    this.head.sides.forEach((side, k) => {
      const y = LIT_ROW.top + k * 12;
      const letter = draw("text", { x: PAD.left - 6, y: y + 8, class: "tick end" });
      letter.textContent = side.key.toUpperCase();
      out.push(letter);
      const marks = [];
      for (const start of side.starts) {
        let end = start;
        while (end < side.gaps.length && side.gaps[end] < side.reach) end++;
        const x = this.x(start * this.head.step);
        marks.push(
          `M${x.toFixed(1)} ${y}h${Math.max(1.5, this.x(end * this.head.step) - x).toFixed(1)}v8H${x.toFixed(1)}z`,
        );
      }
      out.push(draw("path", { d: marks.join(""), class: `touch ${side.key}` }));
    });
    return out;
  }

  axis(height) {
    const out = ticks(0, this.head.seconds, this.width < 480 ? 4 : 6).map((t) => {
      const node = draw("text", { x: this.x(t), y: height - 16, class: "tick mid" });
      node.textContent = String(t);
      return node;
    });
    const name = draw("text", { x: this.width - PAD.right, y: height - 2, class: "axis end" });
    name.textContent = "seconds";
    return [...out, name];
  }

  move(time) {
    if (!this.width) return;
    const x = this.x(time);
    for (const [name, v] of Object.entries({ x1: x, x2: x, y1: GAP_ROW.top, y2: WORK_ROW.top + WORK_ROW.height }))
      this.now.setAttribute(name, v);
  }

  describe(words) {
    this.svg.setAttribute("aria-label", words);
  }
}
