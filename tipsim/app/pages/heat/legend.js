// The one scale of colours for both needles, with the limits marked, and what they mean.

import { draw, make, ticks } from "../../framework/make.js";
import { colourOf } from "./colours.js";

const LEGEND_HEIGHT = 62;
const BAR = { top: 18, height: 13, side: 16 };

export class Legend {
  constructor(choose) {
    this.svg = draw("svg", { role: "img", class: "legend", "aria-label": "Scale of colours" });
    this.select = make("select", { id: "scale", change: () => choose(this.select.value) });
    this.select.append(
      make("option", { value: "fixed" }, "20 to 70 °C, always"),
      make("option", { value: "fit" }, "fitted to the run"),
    );
    this.list = make("ul", { className: "limits" });
    this.meaning = make(
      "div",
      {},
      make("div", { className: "scale-top" }, make("label", { htmlFor: "scale" }, "Colours"), this.select),
      make("details", {}, make("summary", {}, "What the marks at the scale mean"), this.list),
    );
    this.node = make(
      "div",
      { className: "scale" },
      this.svg,
    );
  }

  show({ scale, limits }, width) {
    this.select.value = scale.name;
    const x = (v) => BAR.side + ((v - scale.low) / (scale.high - scale.low)) * (width - 2 * BAR.side);
    const step = (scale.high - scale.low) / 64;
    const parts = Array.from({ length: 64 }, (_, k) => {
      const v = scale.low + k * step;
      return draw("rect", {
        x: x(v),
        y: BAR.top,
        width: x(v + step) - x(v) + 0.5,
        height: BAR.height,
        fill: colourOf(v + step / 2, scale),
      });
    });
    for (const v of ticks(scale.low, scale.high, width < 480 ? 5 : 10)) {
      parts.push(draw("text", { x: x(v), y: BAR.top - 5, class: "tick mid" }, String(v)));
    }
    const inside = limits.filter(({ celsius }) => celsius >= scale.low && celsius <= scale.high);
    inside.forEach(({ celsius }, k) => {
      const y = BAR.top + BAR.height;
      const low = y + (k % 2 ? 27 : 14);
      parts.push(draw("line", { x1: x(celsius), x2: x(celsius), y1: BAR.top, y2: low - 10, class: "mark" }));
      parts.push(draw("text", { x: x(celsius), y: low, class: "tick mid limit" }, String(celsius)));
    });
    this.svg.setAttribute("viewBox", `0 0 ${width} ${LEGEND_HEIGHT}`);
    this.svg.setAttribute("aria-label", this.words(scale, inside));
    this.svg.replaceChildren(...parts);
    this.tell(limits);
  }

  words({ low, high }, inside) {
    const marks = inside.map(({ celsius, short }) => `${celsius}, ${short}`).join("; ");
    return `Colours from ${low} °C, dark violet, over red to ${high} °C, pale yellow. Marks in °C: ${marks}.`;
  }

  tell(limits) {
    const key = JSON.stringify(limits);
    if (key === this.listed) return;
    this.listed = key;
    this.list.replaceChildren(
      ...limits.map(({ celsius, label, status, meaning, source }) =>
        make(
          "li",
          {},
          make("strong", {}, `${celsius} °C: `),
          `${label}. `,
          make("span", { className: "chip", title: meaning }, status),
          make("span", { className: "source" }, ` ${source}`),
        ),
      ),
    );
  }
}
