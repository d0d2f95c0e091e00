// A needle drawn at rest from the side of its bends, and places on it as distances from its end.

import { draw } from "../../../framework/make.js";

const PAD_MM = 1.1;

/** {svg, at(mm) -> [x, y], nearest(x, y) -> mm, toDrawing(event) -> [x, y]}; lengths in mm. */
export class NeedleDrawing {
  constructor(needle, label) {
    this.needle = needle;
    const xs = needle.points.map(([x]) => x);
    const ys = needle.points.map(([, y]) => -y);
    const reach = Math.max(...needle.radii);
    const [left, top] = [Math.min(...xs) - 0.4, Math.min(...ys) - reach - PAD_MM];
    this.width = Math.max(...xs) - left + 1;
    this.height = Math.max(...ys) + reach + PAD_MM - top;
    this.svg = draw("svg", { viewBox: `${left} ${top} ${this.width} ${this.height}`, class: "needle" });
    const title = draw("title");
    title.textContent = label;
    this.svg.append(
      title,
      draw("path", { d: this.outline(), class: "metal" }),
      draw("path", { d: this.middle(), class: "middle" }),
    );
  }

  outline() {
    const { points, radii } = this.needle;
    const sides = [1, -1].map((sign) =>
      points.map(([x, y], i) => {
        const [nx, ny] = this.normal(i);
        return `${(x + sign * nx * radii[i]).toFixed(3)} ${(-(y + sign * ny * radii[i])).toFixed(3)}`;
      }),
    );
    return `M${[...sides[0], ...sides[1].reverse()].join("L")}Z`;
  }

  middle() {
    return `M${this.needle.points.map(([x, y]) => `${x.toFixed(3)} ${(-y).toFixed(3)}`).join("L")}`;
  }

  normal(i) {
    const { points } = this.needle;
    const a = points[Math.max(i - 1, 0)];
    const b = points[Math.min(i + 1, points.length - 1)];
    const size = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    return [-(b[1] - a[1]) / size, (b[0] - a[0]) / size];
  }

  /** Where a distance from the end lies in the drawing, and the normal there. */
  at(distance) {
    const { points, from_end: from } = this.needle;
    let i = from.length - 2;
    while (i > 0 && from[i] < distance) i--;
    const w = Math.min(1, Math.max(0, (from[i] - distance) / (from[i] - from[i + 1] || 1)));
    const place = [0, 1].map((k) => points[i][k] * (1 - w) + points[i + 1][k] * w);
    const reach = this.needle.radii[i] * (1 - w) + this.needle.radii[i + 1] * w;
    return { x: place[0], y: -place[1], normal: this.normal(i), reach };
  }

  nearest(x, y) {
    const { points, from_end: from } = this.needle;
    let best = [Infinity, 0];
    for (let i = 0; i + 1 < points.length; i++) {
      const [ax, ay, bx, by] = [points[i][0], -points[i][1], points[i + 1][0], -points[i + 1][1]];
      const length = (bx - ax) ** 2 + (by - ay) ** 2 || 1;
      const w = Math.min(1, Math.max(0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length));
      const far = Math.hypot(x - ax - w * (bx - ax), y - ay - w * (by - ay));
      if (far < best[0]) best = [far, from[i] * (1 - w) + from[i + 1] * w];
    }
    return best[1];
  }

  toDrawing(event) {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    return [point.x, point.y];
  }

  /** A line across the needle with a head above it. */
  pin(kind) {
    const line = draw("line");
    const head = draw("circle", { r: 0.21 });
    const node = draw("g", { class: `pin ${kind}` }, line, head);
    this.svg.append(node);
    const put = (distance) => {
      const { x, y, normal, reach } = this.at(distance);
      const [nx, ny] = [normal[0], -normal[1]];
      const up = kind === "truth" ? -1 : 1;
      const far = reach + 0.55;
      const ends = { x1: x - nx * up * reach, y1: y - ny * up * reach, x2: x + nx * up * far, y2: y + ny * up * far };
      for (const [name, value] of Object.entries(ends)) line.setAttribute(name, value.toFixed(3));
      head.setAttribute("cx", ends.x2.toFixed(3));
      head.setAttribute("cy", ends.y2.toFixed(3));
    };
    return { node, put };
  }
}
