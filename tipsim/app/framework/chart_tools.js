// A chart's tools: zoom and move, by buttons, by dragging and by the wheel.

import { draw, make } from "./make.js";
import { rove } from "./rove.js";

const ZOOM = 1.5;
const ICONS = {
  more: "M8 3v10M3 8h10",
  less: "M3 8h10",
  box: "M2 5V2h3M11 2h3v3M14 11v3h-3M5 14H2v-3M5.5 5.5h5v5h-5z",
  pan: "M8 1.5v13M1.5 8h13M6 3.5l2-2 2 2M6 12.5l2 2 2-2M3.5 6l-2 2 2 2M12.5 6l2 2-2 2",
  whole: "M3 8a5 5 0 1 0 1.6-3.7M3 2v3.2h3.2",
};

const icon = (d) => draw("svg", { viewBox: "0 0 16 16", "aria-hidden": "true" }, draw("path", { d }));
const tool = (words, d, click) =>
  make("button", { type: "button", title: words, ariaLabel: words, click }, icon(d));

export class Tools {
  /** @param {import("./chart.js").Chart} chart */
  constructor(chart) {
    this.chart = chart;
    /** @type {"box" | "pan" | null} what a drag does; null: it reads */
    this.dragging = null;
    this.modes = {
      box: tool("Zoom: drag over a part", ICONS.box, () => this.mode("box")),
      pan: tool("Move: drag, or turn the wheel to zoom", ICONS.pan, () => this.mode("pan")),
    };
    for (const button of Object.values(this.modes)) button.setAttribute("aria-pressed", "false");
    this.whole = tool("Show all", ICONS.whole, () => chart.reset());
    this.node = make(
      "div",
      { className: "chart-tools", role: "toolbar" },
      tool("Zoom in", ICONS.more, () => this.zoom(true)),
      tool("Zoom out", ICONS.less, () => this.zoom(false)),
      this.modes.box,
      this.modes.pan,
      this.whole,
    );
    rove(this.node, "button");
  }

  /** @param {"box" | "pan"} name drags do this, or no longer */
  mode(name) {
    const { figure, picture } = this.chart;
    if (!figure) return;
    this.dragging = this.dragging === name ? null : name;
    figure.part("box").active = this.dragging === "box";
    figure.part("pan").active = this.dragging === "pan";
    figure.part("wheel").active = this.dragging === "pan";
    for (const [one, button] of Object.entries(this.modes)) {
      button.setAttribute("aria-pressed", String(one === this.dragging));
    }
    picture.classList.toggle("dragging", Boolean(this.dragging));
  }

  /** @param {boolean} closer show less of x, or more, around what is read */
  zoom(closer) {
    const { figure, reader, home } = this.chart;
    if (!figure || !home) return;
    const { left, right, width } = figure.frame;
    const factor = closer ? 1 / ZOOM : ZOOM;
    const middle = reader.at ?? reader.now;
    const at = middle === null ? (left + right) / 2 : Math.min(right, Math.max(left, figure.px(middle)));
    const from = at - (at - left) * factor;
    figure.between(from, from + width * factor, home.x);
  }

  /** @param {number} share of what is shown, to the right */
  pan(share) {
    const { figure, home } = this.chart;
    if (!figure || !home) return;
    const { left, right, width } = figure.frame;
    figure.between(left + share * width, right + share * width, home.x);
  }
}
