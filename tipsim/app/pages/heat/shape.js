// The lengthwise cut of one needle on the screen: where each cell lies, and what lies at a point.

/** How much thicker than long the needle is drawn, so that thin layers can be seen. */
export const STRETCH = 1.7;
const MARGIN = { side: 14, top: 30, bottom: 14 };
// Rows between two of `radii`: bore, metal, gap, sleeve's middle, sleeve, near, far.
const OUTER = { bore: 0, metal: 1, annulus: 2, inner: 3, outer: 4, near: 5, far: 6 };

export class Shape {
  /** A side laid out: `width` px for `longest` mm, tips at the right, hub at the left. */
  constructor(side, width, longest) {
    this.side = side;
    this.width = width;
    this.scale = (width - 2 * MARGIN.side) / longest;
    this.normals();
    this.place();
    this.cells = side.rows.flatMap((row) => this.cellsOf(row));
    this.borders = ["metal", "annulus", "outer", "near"].flatMap((layer) => this.bordersOf(layer));
  }

  normals() {
    const { x, y } = this.side;
    this.normal = Array.from(x, (_, i) => {
      const [a, b] = [Math.max(0, i - 1), Math.min(x.length - 1, i + 1)];
      const size = Math.hypot(x[b] - x[a], y[b] - y[a]) || 1;
      return [-(y[b] - y[a]) / size, (x[b] - x[a]) / size];
    });
  }

  place() {
    const { x, y: heights, rows } = this.side;
    this.right = x[x.length - 1];
    this.high = -Infinity;
    this.low = Infinity;
    for (const row of rows) {
      for (let i = row.start; i <= row.start + row.count; i++) {
        const r = this.edgeRadius(row, OUTER[row.layer], i) * STRETCH;
        for (const sign of [1, -1]) {
          const y = heights[i] + sign * r * this.normal[i][1];
          this.high = Math.max(this.high, y);
          this.low = Math.min(this.low, y);
        }
      }
    }
    this.height = Math.ceil((this.high - this.low) * this.scale) + MARGIN.top + MARGIN.bottom;
  }

  /** A radius at an edge: between the slices on both sides of it, as far as the row goes. */
  edgeRadius(row, k, i) {
    const radii = this.side.radii[k];
    const [first, last] = [row.start, row.start + row.count - 1];
    return (radii[Math.max(first, i - 1)] + radii[Math.min(last, i)]) / 2;
  }

  /**
   * Pixels of a point at an edge, `r` mm off the middle line; above 0 is the pressed side.
   * @returns {[number, number]}
   */
  at(i, r) {
    const [x, y] = [this.side.x[i], this.side.y[i]];
    const [nx, ny] = this.normal[i];
    const [px, py] = [x + r * STRETCH * nx, y + r * STRETCH * ny];
    return [this.width - MARGIN.side - (this.right - px) * this.scale, MARGIN.top + (this.high - py) * this.scale];
  }

  /** Pixels of a point anywhere along the needle [mm from the tip]. */
  along(fromEnd, r) {
    const s = this.side.length - fromEnd;
    const edges = this.side.edges;
    let i = 0;
    while (i < this.side.slices - 1 && edges[i + 1] < s) i++;
    const w = Math.min(1, Math.max(0, (s - edges[i]) / (edges[i + 1] - edges[i])));
    const [a, b] = [this.at(i, r), this.at(i + 1, r)];
    return [a[0] + w * (b[0] - a[0]), a[1] + w * (b[1] - a[1])];
  }

  signOf(row) {
    return row.side === "other" ? -1 : 1;
  }

  /** Inner and outer radius of a row at an edge [mm], signed. */
  span(row, i) {
    const outer = this.edgeRadius(row, OUTER[row.layer], i);
    if (row.layer === "bore") return [-outer, outer];
    const sign = this.signOf(row);
    return [sign * this.edgeRadius(row, OUTER[row.layer] - 1, i), sign * outer];
  }

  /** Signed radius of a row's middle in a slice [mm]. */
  middle(row, i) {
    if (row.layer === "bore") return 0;
    const radii = this.side.radii;
    const k = OUTER[row.layer];
    return (this.signOf(row) * (radii[k][i] + radii[k - 1][i])) / 2;
  }

  /** A little more than its own on two sides closes the seams; the next cell covers it. */
  cellsOf(row) {
    const more = (0.5 / this.scale / STRETCH) * this.signOf(row);
    return Array.from({ length: row.count }, (_, n) => {
      const i = row.start + n;
      const [a0, a1] = this.span(row, i);
      const [b0, b1] = this.span(row, i + 1);
      const path = new Path2D();
      const [[x1, y1], [x2, y2]] = [this.at(i + 1, b0), this.at(i + 1, b1 + more)];
      path.moveTo(...this.at(i, a0));
      path.lineTo(...this.at(i, a1 + more));
      path.lineTo(x2 + 1.2, y2);
      path.lineTo(x1 + 1.2, y1);
      path.closePath();
      return { path, index: row.at + n };
    });
  }

  /** Lines along both faces of a layer. */
  bordersOf(layer) {
    const out = [];
    for (const row of this.side.rows.filter((r) => r.layer === layer)) {
      for (const face of layer === "near" ? [1] : [0, 1]) {
        const path = new Path2D();
        for (let i = row.start; i <= row.start + row.count; i++) {
          const [x, y] = this.at(i, this.span(row, i)[face]);
          if (i === row.start) path.moveTo(x, y);
          else path.lineTo(x, y);
        }
        out.push(path);
      }
    }
    return out;
  }

  /** What lies under a point [px]: {fromEnd [mm], row}; the nearest row beyond the surface. */
  find(px, py) {
    let best = { far: Infinity };
    for (let i = 0; i < this.side.slices; i++) {
      const [a, b] = [this.at(i, 0), this.at(i + 1, 0)];
      const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
      const w = Math.min(1, Math.max(0, ((px - a[0]) * dx + (py - a[1]) * dy) / (dx * dx + dy * dy)));
      const far = Math.hypot(px - a[0] - w * dx, py - a[1] - w * dy);
      // Up on the screen is the smaller y: left of the way from hub to end.
      if (far < best.far) best = { far, i, w, up: dx * (py - a[1]) - dy * (px - a[0]) <= 0 };
    }
    const { edges, length } = this.side;
    const fromEnd = length - (edges[best.i] + best.w * (edges[best.i + 1] - edges[best.i]));
    const r = (best.up ? 1 : -1) * (best.far / this.scale / STRETCH);
    const there = this.side.rows.filter((row) => best.i >= row.start && best.i < row.start + row.count);
    const off = (row) => {
      const [low, high] = this.span(row, best.i).sort((x, y) => x - y);
      return Math.max(low - r, r - high, 0);
    };
    return { fromEnd, row: there.reduce((one, other) => (off(other) < off(one) ? other : one)) };
  }
}
