// The markers of both needles: which way each goes, and the path it runs through.

import { draw, make } from "../framework/make.js";
import { micro } from "./numbers.js";

const PLANES = {
  end: { label: "Seen from the end", across: 1, up: 2, words: "in the bend plane ↔, across it ↕" },
  top: { label: "Seen edge-on", across: 0, up: 2, words: "along the hub's axis ↔, across the bend plane ↕" },
  flat: { label: "Seen flat", across: 0, up: 1, words: "along the hub's axis ↔, in the bend plane ↕" },
};
const FIRST_PLANE = { torsional: "end", axial: "flat", elliptical: "top" };
const POINTS = 64;


/** Bars to the right: with the end; to the left: against it. */
export class DirectionPlot {
  constructor() {
    this.svg = draw("svg", { role: "img", class: "directions" });
    this.rows = make("tbody");
    const heads = ["Marker", "From the end", "A, stroke", "A, direction", "B, stroke", "B, direction"];
    const head = make("tr", {}, ...heads.map((text) => make("th", { scope: "col" }, text)));
    this.node = make(
      "section",
      { className: "card" },
      make("h2", {}, "Which way each marker goes"),
      this.svg,
      make(
        "details",
        {},
        make("summary", {}, "As a table"),
        make(
          "div",
          { className: "scroll", tabIndex: 0, role: "region", ariaLabel: "Markers as a table" },
          make("table", {}, make("thead", {}, head), this.rows),
        ),
      ),
    );
  }

  show(sides) {
    this.sides = sides;
    this.paint();
  }

  paint() {
    if (!this.sides) return;
    const count = Math.max(...this.sides.map((side) => side.marks.length));
    const [row, top, width] = [44, 30, Math.max(260, this.node.clientWidth - 2)];
    const height = top + count * row + 6;
    const largest = Math.max(1, ...this.sides.flatMap((side) => side.marks.map((m) => m.stroke_um_pp)));
    const middle = width * 0.46;
    const reach = Math.min(middle - 84, width - middle - 72);
    const out = [
      draw("text", { x: middle - 10, y: 16, class: "axis end" }, "◀ against the end"),
      draw("text", { x: middle + 10, y: 16, class: "axis" }, "with the end ▶"),
      draw("line", { x1: middle, x2: middle, y1: 24, y2: height - 4, class: "zero" }),
    ];
    for (let i = 0; i < count; i++) {
      const y = top + i * row;
      const distance = this.sides.map((side) => side.marks[i]?.distance_mm).find((d) => d !== undefined);
      out.push(draw("text", { x: 2, y: y + 17, class: "name" }, `${i + 1}`));
      out.push(draw("text", { x: 16, y: y + 17, class: "tick" }, `${micro(distance)} mm`));
      this.sides.forEach((side, k) => {
        if (side.marks[i]) out.push(...this.bar(side.marks[i], k, y + k * 18, middle, reach / largest));
      });
    }
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.svg.replaceChildren(...out);
    this.svg.setAttribute("aria-label", this.words());
    this.table(count);
  }

  bar(mark, k, y, middle, scale) {
    const name = k ? "b" : "a";
    const way = { "with the end": 1, "against the end": -1 }[mark.direction] ?? 0;
    const long = Math.max(1.5, mark.stroke_um_pp * scale);
    const x = way > 0 ? middle : way < 0 ? middle - long : middle - long / 2;
    const shape = draw("rect", {
      x,
      y: y + 2,
      width: long,
      height: 13,
      rx: 2,
      class: `bar ${name}${way ? "" : " across"}`,
    });
    const text = `${micro(mark.stroke_um_pp)} µm${way ? "" : ` ${mark.direction}`}`;
    const label =
      way < 0
        ? draw("text", { x: x - 5, y: y + 13, class: "tick end" }, text)
        : draw("text", { x: x + long + 5, y: y + 13, class: "tick" }, text);
    return [shape, label];
  }

  words() {
    return this.sides
      .map((side, k) => {
        const each = side.marks.map((m, i) => `${i + 1} ${m.direction}, ${micro(m.stroke_um_pp)} micrometres`);
        return `Needle ${k ? "B" : "A"}, markers from the end: ${each.join("; ")}.`;
      })
      .join(" ");
  }

  table(count) {
    const cells = (i) => {
      const marks = this.sides.map((side) => side.marks[i]);
      const place = marks.find(Boolean).distance_mm;
      const of = (m) =>
        m ? [`${micro(m.stroke_um_pp)} µm`, `${m.direction} (${m.phase_deg.toFixed(0)}°)`] : ["–", "–"];
      return [`${i + 1}`, `${micro(place)} mm`, ...marks.flatMap(of)];
    };
    const rows = Array.from({ length: count }, (_, i) => make("tr", {}, ...cells(i).map((t) => make("td", {}, t))));
    this.rows.replaceChildren(...rows);
  }
}

/** The closed path of each marker, all to one scale. */
export class PathPlot {
  constructor() {
    this.svg = draw("svg", { role: "img", class: "paths" });
    this.select = make("select", { ariaLabel: "From where the paths are seen" });
    for (const [value, { label }] of Object.entries(PLANES)) this.select.append(make("option", { value }, label));
    this.select.addEventListener("change", () => {
      this.chosen = true;
      this.paint();
    });
    this.words = make("p", { className: "note" });
    this.node = make(
      "section",
      { className: "card" },
      make("div", { className: "top" }, make("h2", {}, "Marker paths"), this.select),
      this.svg,
      this.words,
    );
  }

  show(sides) {
    this.sides = sides;
    if (!this.chosen) this.select.value = FIRST_PLANE[sides[0].drive] ?? "end";
    this.paint();
  }

  paint() {
    if (!this.sides) return;
    const plane = PLANES[this.select.value];
    const count = Math.max(...this.sides.map((side) => side.marks.length));
    const width = Math.max(260, this.node.clientWidth - 2);
    const left = 26;
    const cell = (width - left) / count;
    const tall = Math.min(104, Math.max(66, cell));
    const largest = Math.max(1, ...this.sides.flatMap((side) => side.marks.map((m) => m.stroke_um_pp)));
    const scale = (0.86 * Math.min(cell, tall)) / largest;
    const height = 2 * (tall + 20) + 2;
    const out = [];
    this.sides.forEach((side, k) => {
      const y = k * (tall + 20);
      out.push(draw("text", { x: 4, y: y + tall / 2 + 5, class: "name" }, k ? "B" : "A"));
      side.marks.forEach((mark, i) => {
        const [cx, cy] = [left + (i + 0.5) * cell, y + tall / 2];
        out.push(
          draw("rect", { x: cx - cell / 2 + 2, y: y + 1, width: cell - 4, height: tall - 2, rx: 4, class: "cell" }),
        );
        out.push(draw("polygon", { points: this.path(mark, plane, cx, cy, scale), class: `path ${k ? "b" : "a"}` }));
        out.push(draw("text", { x: cx, y: y + tall + 13, class: "tick mid" }, `${i + 1}: ${micro(mark.stroke_um_pp)}`));
      });
    });
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.svg.replaceChildren(...out);
    this.svg.setAttribute(
      "aria-label",
      `Paths of the markers of both needles, ${plane.label.toLowerCase()}: ${plane.words}. Strokes stand below ` +
      "each path and in the table of directions.",
    );
    this.words.textContent = `${plane.words}; one scale for all; strokes in µm, peak to peak.`;
  }

  path(mark, { across, up }, cx, cy, scale) {
    const points = [];
    for (let k = 0; k < POINTS; k++) {
      const phase = (2 * Math.PI * k) / POINTS;
      const at = (d) => mark.re[d] * Math.cos(phase) - mark.im[d] * Math.sin(phase);
      points.push(`${(cx + scale * at(across)).toFixed(2)},${(cy - scale * at(up)).toFixed(2)}`);
    }
    return points.join(" ");
  }
}

