// Temperature along both needles, now; one layer or all.

import { draw, make } from "../framework/make.js";
import { LAYER_WORDS, middleOf, rowWords } from "./packet.js";
import { Plane, PLOT, rangeOf } from "./plane.js";

const ALONG_HEIGHT = 210;
const ALL = ["bore", "metal", "annulus", "outer", "near"];

export class Along {
  constructor(probed) {
    this.svg = draw("svg", { role: "img", class: "plot along" });
    this.svg.addEventListener("pointermove", (event) => this.follow(event, probed));
    this.svg.addEventListener("pointerdown", (event) => this.follow(event, probed));
    this.select = make("select", { id: "along-layer", change: () => this.choose() });
    for (const layer of [...ALL, "inner", "far"]) {
      this.select.append(make("option", { value: layer }, LAYER_WORDS[layer]));
    }
    this.select.append(make("option", { value: "all" }, "all layers, pressed side"));
    this.layer = "outer";
    this.select.value = "outer";
    this.key = make("p", { className: "key" });
    this.node = make(
      "section",
      { className: "card" },
      make(
        "div",
        { className: "top" },
        make("h2", {}, "Along the needle, now"),
        make("span", { className: "pick" }, make("label", { htmlFor: "along-layer" }, "Layer"), this.select),
      ),
      this.svg,
      this.key,
    );
  }

  choose() {
    this.layer = this.select.value;
    this.fit();
    this.paint(this.probe);
  }

  take(head, width) {
    this.head = head;
    this.width = width;
    this.fit();
  }

  /** The rows that are drawn of a side. */
  rows(side) {
    if (this.layer !== "all") return side.rows.filter((row) => row.layer === this.layer);
    return side.rows.filter((row) => ALL.includes(row.layer) && row.side !== "other");
  }

  fit() {
    if (!this.head) return;
    const { head, width } = this;
    const longest = Math.max(...head.sides.map((side) => side.length));
    const peaks = head.sides.flatMap((side) => Object.values(side.curves).flatMap((c) => (c ? Math.max(...c) : [])));
    this.plane = new Plane(width, ALONG_HEIGHT, [longest, 0], rangeOf(head.scale, peaks));
    this.lines = draw("g");
    this.svg.setAttribute("viewBox", `0 0 ${width} ${ALONG_HEIGHT}`);
    this.svg.replaceChildren(...this.plane.frame("distance from the end, mm (hub left, end right)", "°C"), this.lines);
    const styles =
      this.layer === "all"
        ? ALL.map((l) => [`layer-${l}`, LAYER_WORDS[l]])
        : [
            ["pressed", "pressed side"],
            ["other", "other side"],
          ];
    const sample = (name) =>
      draw(
        "svg",
        { class: "sample", viewBox: "0 0 26 8", "aria-hidden": "true" },
        draw("line", { x1: 0, x2: 26, y1: 4, y2: 4, class: `line plain ${name}` }),
      );
    const shown = this.layer === "bore" ? [] : styles;
    this.key.replaceChildren(...shown.map(([name, words]) => make("span", {}, sample(name), words)));
  }

  paint(probe) {
    this.probe = probe;
    if (!this.plane) return;
    const { plane, head } = this;
    const parts = head.sides.flatMap((side) =>
      this.rows(side).map((row) => {
        const xs = Array.from({ length: row.count }, (_, k) => middleOf(side, row.start + k));
        const ys = Array.from(side.now.subarray(row.at, row.at + row.count));
        const style = this.layer === "all" ? `layer-${row.layer}` : row.side;
        return plane.line(xs, ys, `line ${side.key} ${style}`);
      }),
    );
    if (probe) {
      const x = plane.x(probe.fromEnd);
      parts.push(draw("line", { x1: x, x2: x, y1: PLOT.top, y2: ALONG_HEIGHT - PLOT.bottom, class: "probe" }));
    }
    this.lines.replaceChildren(...parts);
  }

  /** Said when the clock stands still; a label that changed all the time would only disturb. */
  describe() {
    const parts = this.head.sides.map((side) => {
      const rows = this.rows(side);
      if (!rows.length) return `${side.key.toUpperCase()} has no such layer.`;
      let best = null;
      for (const row of rows) {
        for (let k = 0; k < row.count; k++) {
          const v = side.now[row.at + k];
          if (!best || v > best.v) best = { v, row, at: middleOf(side, row.start + k) };
        }
      }
      return `${side.key.toUpperCase()}: hottest ${best.v.toFixed(1)} °C, ${rowWords(best.row)}, ` +
        `${best.at.toFixed(1)} mm from the end.`;
    });
    this.svg.setAttribute("aria-label", `Temperature along the needle. ${parts.join(" ")}`);
  }

  follow(event, probed) {
    if (!this.plane) return;
    const box = this.svg.getBoundingClientRect();
    const [far, near] = this.plane.xs;
    const mm = this.plane.back(((event.clientX - box.left) / box.width) * this.width);
    probed(Math.min(far, Math.max(near, mm)));
  }
}
