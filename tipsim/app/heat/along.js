// Temperature along both needles, now; one layer or all.

import { Chart } from "../framework/chart.js";
import { make } from "../framework/make.js";
import { LAYER_WORDS, middleOf, rowWords } from "./packet.js";
import { rangeOf } from "./range.js";

const ALL = ["bore", "metal", "annulus", "outer", "near"];
const SHORT = { bore: "lumen", metal: "metal", annulus: "fluid", outer: "sleeve", near: "tissue" };

export class Along {
  constructor(probed) {
    this.chart = new Chart("heat.along", { seek: probed });
    this.select = make("select", { id: "along-layer", change: () => this.choose() });
    for (const layer of [...ALL, "inner", "far"]) {
      this.select.append(make("option", { value: layer }, LAYER_WORDS[layer]));
    }
    this.select.append(make("option", { value: "all" }, "all layers, pressed side"));
    this.select.value = "outer";
    this.node = make(
      "section",
      { className: "card" },
      make(
        "div",
        { className: "top" },
        make("h2", {}, "Along the needle, now"),
        make("span", { className: "pick" }, make("label", { htmlFor: "along-layer" }, "Layer"), this.select),
      ),
      this.chart.node,
    );
  }

  choose() {
    this.paint(this.probe);
    this.describe();
  }

  take(head) {
    this.head = head;
    const peaks = head.sides.flatMap((side) => Object.values(side.curves).flatMap((c) => (c ? Math.max(...c) : [])));
    this.y = rangeOf(head.scale, peaks);
    this.x = [0, Math.max(...head.sides.map((side) => side.length))];
    this.places = new Map();
  }

  /** The rows that are drawn of a side. */
  rows(side) {
    const layer = this.select.value;
    if (layer !== "all") return side.rows.filter((row) => row.layer === layer);
    return side.rows.filter((row) => ALL.includes(row.layer) && row.side !== "other");
  }

  data() {
    const all = this.select.value === "all";
    /** @type {Record<string, import("../framework/chart_data.js").Curve>} */
    const lines = {};
    for (const side of this.head.sides) {
      const letter = side.key.toUpperCase();
      for (const row of this.rows(side)) {
        const [part, short] = all ? [row.layer, SHORT[row.layer]] : [row.side === "other" ? "other" : "pressed", ""];
        lines[`${side.key}_${part}`] = {
          x: this.placesOf(side, row),
          y: side.now.slice(row.at, row.at + row.count),
          label: `${letter}, ${rowWords(row)}`,
          short: part === "other" ? `${letter} other` : `${letter} ${short}`.trim(),
        };
      }
    }
    return { lines, x: this.x, y: this.y };
  }

  placesOf(side, row) {
    if (!this.places.has(row)) {
      this.places.set(row, Float32Array.from({ length: row.count }, (_, k) => middleOf(side, row.start + k)));
    }
    return this.places.get(row);
  }

  paint(probe) {
    this.probe = probe;
    if (!this.head) return;
    this.chart.animate(this.data());
    if (probe) this.chart.cursor(probe.fromEnd);
  }

  /** Said when the clock stands still; words that changed all the time would only disturb. */
  describe() {
    if (this.head) this.chart.show(this.data());
  }
}
