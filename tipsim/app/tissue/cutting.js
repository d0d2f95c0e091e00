// Cutting at the mouth: numbers, course with power, hardness, drives, and studies that differ.

import { Chart } from "../framework/chart.js";
import { draw, make } from "../framework/make.js";
import { NumberTable, SMALL_PRINT, openedSources, sideLetter } from "./rows.js";

const BARS = { width: 420, row: 40, left: 76, right: 14, top: 8 };
const DRIVES = ["drive.full_end_stroke_axial", "drive.full_end_stroke_torsional", "published.top_speed"];
const MARKS = [0.25, 0.5, 1, 2, 4];

class CuttingPanel {
  constructor(model) {
    this.model = model;
    this.warned = make("div", {});
    this.table = new NumberTable("At the mouth", model.sources);
    this.rates = new Chart("cutting.rate");
    this.published = new Chart("cutting.efficiency");
    this.bars = draw("svg", { role: "img", class: "plot" });
    this.hardness = make("p", { className: "soft" });
    this.drives = make("div", { className: "scroll" });
    this.drives.setAttribute("role", "region");
    this.drives.setAttribute("aria-label", "Swept area by drive");
    this.drives.tabIndex = 0;
    this.root = make(
      "div",
      { className: "part" },
      this.warned,
      this.table.node,
      make("p", { className: "soft" }, SMALL_PRINT),
      make(
        "div",
        { className: "two" },
        make("div", {}, this.rates.node),
        make(
          "div",
          {},
          this.published.node,
          openedSources("efficiency", "Sources of this course", model.content.efficiency?.from ?? [], model.sources),
        ),
      ),
      make(
        "div",
        { className: "two" },
        make(
          "div",
          {},
          make("h3", {}, "Hardness, with its scatter"),
          this.bars,
          this.hardness,
          openedSources("grades", "Sources of hardness", model.content.grades?.from ?? [], model.sources),
        ),
        make(
          "div",
          {},
          make("h3", {}, "Swept in a cycle, by drive, at full power"),
          this.drives,
          openedSources("drives", "Sources of these drives", DRIVES, model.sources),
        ),
      ),
      make("h3", {}, "Where studies disagree"),
      make("p", { className: "soft" }, "What was found, side by side. The model above does not decide between them."),
      this.studies(),
    );
  }

  show() {
    const { words = [], rows, sides, powers } = this.model.content;
    if (!rows) return;
    this.warned.replaceChildren(...words.map((line) => make("p", { className: "warned" }, line)));
    this.table.show(rows);
    const lines = sides.flatMap(({ key, rates, power, band: [low, high] }) => {
      const around = [Math.max(0, power - 1.5), Math.min(100, power + 1.5)];
      const both = { x: around, low: [low, low], high: [high, high] };
      return [[key, { x: powers, y: rates }], [`${key}_band`, both]];
    });
    this.rates.show({
      lines: Object.fromEntries(lines),
      dots: sides.map(({ key, power, rate }) => ({ x: power, y: rate, side: key })),
      x: [0, 100],
      words: sides.map(({ key, power, drive }) => `${key.toUpperCase()}, ${drive}, is set to ${power} %.`).join(" "),
    });
    this.efficiency();
    this.grades();
  }

  efficiency() {
    const { efficiency: found, powers } = this.model.content;
    const percent = (values) => values.map((v) => v * 100);
    const jump = `${Number(found.jump.toPrecision(3))} times that at 10 %`;
    this.published.show({
      lines: {
        band: { x: powers, low: percent(found.least), high: percent(found.most) },
        own: { x: powers, y: percent(found.line) },
      },
      dots: found.points.map(([x, y], k) => ({ x, y: y * 100, label: k === 1 ? jump : "", hollow: true })),
      x: [0, 100],
      y: [0, 100],
      words:
        "Published: a gain of five times from 10 to 20 % power, then a straight line. Assumed: the value at 20 %, " +
        "and the curve below 10 %. The shaded band goes over their ranges.",
    });
  }

  grades() {
    const { rows, words } = this.model.content.grades;
    const high = Math.max(...rows.map(({ whole }) => whole[1]));
    const low = Math.min(...rows.map(({ whole }) => whole[0]));
    const x = (v) => BARS.left + (Math.log(v / low) / Math.log(high / low)) * (BARS.width - BARS.left - BARS.right);
    this.bars.setAttribute("viewBox", `0 0 ${BARS.width} ${BARS.top + rows.length * BARS.row + 36}`);
    const text = (at, y, said, className) => {
      const node = draw("text", { x: at, y, class: className });
      node.textContent = said;
      return node;
    };
    const parts = rows.flatMap(({ title, usual, inner, whole }, k) => {
      const y = BARS.top + k * BARS.row + 18;
      return [
        text(0, y + 4, title, "axis"),
        draw("line", { x1: x(whole[0]), x2: x(whole[1]), y1: y, y2: y, class: "whole" }),
        draw("line", { x1: x(inner[0]), x2: x(inner[1]), y1: y, y2: y, class: "inner" }),
        draw("circle", { cx: x(usual), cy: y, r: 5, class: "dot own" }),
        text(x(usual), y - 9, String(Number(usual.toPrecision(2))), "axis mid"),
      ];
    });
    const marks = MARKS.filter((v) => v >= low && v <= high).flatMap((v) => [
      draw("line", { x1: x(v), x2: x(v), y1: 0, y2: BARS.top + rows.length * BARS.row, class: "grid" }),
      text(x(v), BARS.top + rows.length * BARS.row + 13, String(v), "axis mid"),
    ]);
    const two = (v) => v.toPrecision(2);
    const range = (ends) => ends.map(two).join(" to ");
    const said = ({ title, usual, inner, whole }) =>
      `${title}: ${two(usual)}, by its range of stiffness ${range(inner)}, with the exponent too ${range(whole)}`;
    const foot = BARS.top + rows.length * BARS.row + 30;
    this.bars.replaceChildren(
      ...marks,
      ...parts,
      text(BARS.width, foot, "cutting over that of medium lens, in factors", "axis end"),
    );
    this.bars.setAttribute(
      "aria-label",
      `Cutting over that of medium lens. ${rows.map(said).join(". ")}.`,
    );
    this.hardness.textContent = "Thick: range of stiffness of the grade. Thin: with the assumed exponent moved " +
      `too. ${words}`;
  }

  showDrives() {
    const { drives } = this.model;
    if (!drives.length) {
      this.drives.replaceChildren(make("p", { className: "soft" }, "Being computed …"));
      return;
    }
    const head = (words, key) =>
      make("th", { scope: "col", className: "value" }, ...(key ? [sideLetter(key), " "] : []), words);
    const cells = ({ normal, aside, speed, too_fast: fast }) =>
      [`${normal} + ${aside}`, fast ? `${speed} ✗` : speed].map((words) => make("td", { className: "value" }, words));
    const rows = drives.map(({ kind, khz, sides }) =>
      make("tr", {}, make("th", { scope: "row" }, `${kind}, ${khz} kHz`), ...sides.flatMap(cells)),
    );
    this.drives.replaceChildren(
      make(
        "table",
        {},
        make(
          "thead",
          {},
          make(
            "tr",
            {},
            make("th", { scope: "col" }, "Drive"),
            head("mm²", "a"),
            head("m/s", "a"),
            head("mm²", "b"),
            head("m/s", "b"),
          ),
        ),
        make("tbody", {}, ...rows),
      ),
      make(
        "p",
        { className: "soft" },
        "Area along the normal of the opening + sideways, and peak speed. " +
          "✗: beyond any published speed, so do not rely on it.",
      ),
    );
  }

  studies() {
    return make(
      "div",
      { className: "studies" },
      ...this.model.studies.map(({ question, studies }) =>
        make(
          "section",
          {},
          make("h4", {}, question),
          make(
            "div",
            { className: "found" },
            ...studies.map(({ finding, source, status }) =>
              make(
                "div",
                {},
                make("p", {}, finding),
                make("p", { className: "soft" }, source, " ", make("span", { className: "chip" }, status)),
              ),
            ),
          ),
        ),
      ),
    );
  }
}

export function render({ model }) {
  const panel = new CuttingPanel(model);
  panel.show();
  panel.showDrives();
  model.on("content", () => panel.show());
  model.on("drives", () => panel.showDrives());
  return panel.root;
}
