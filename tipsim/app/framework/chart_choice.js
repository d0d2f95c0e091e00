// Several charts in one place: a choice says which of them is seen.

import { Chart } from "./chart.js";
import { make } from "./make.js";

export class ChartChoice {
  /**
   * @param {Record<string, string>} names of kinds, with what the choice calls them
   * @param {string} label of the choice
   * @param {import("./chart.js").Options} [options]
   */
  constructor(names, label, options) {
    this.charts = Object.keys(names).map((name) => new Chart(name, options));
    this.select = make("select", { ariaLabel: label, change: () => this.paint() });
    this.select.append(...Object.entries(names).map(([value, words]) => make("option", { value }, words)));
    this.node = make("div", {}, ...this.charts.map(({ node }) => node));
  }

  /** @param {(name: string) => import("./chart_data.js").Data} dataOf numbers of a kind, asked for when it is seen */
  show(dataOf) {
    this.dataOf = dataOf;
    this.paint();
  }

  paint() {
    for (const chart of this.charts) {
      const seen = chart.name === this.select.value;
      chart.node.hidden = !seen;
      if (seen && this.dataOf) chart.show(this.dataOf(chart.name));
    }
  }

  remove() {
    for (const chart of this.charts) chart.remove();
  }
}
