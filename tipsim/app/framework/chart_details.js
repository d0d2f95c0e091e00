// What stands beside a chart's picture: its text, its table and its downloads.

import { csv, table } from "./chart_data.js";
import { make } from "./make.js";
import { methods } from "./methods.js";
import { save } from "./save.js";

/**
 * @typedef {import("./chart_data.js").Data} Data
 * @typedef {import("./chart_data.js").Kind} Kind
 */

export class Details {
  /** @param {import("./chart.js").Chart} chart */
  constructor(chart) {
    this.chart = chart;
    this.text = make("p", { className: "chart-text", id: `${chart.id}-text` });
    this.head = make("tr");
    this.body = make("tbody");
    this.caption = make("caption");
    this.scroll = make(
      "div",
      { className: "scroll", tabIndex: 0, role: "region", ariaLabel: `Table of ${chart.id}` },
      make("table", {}, this.caption, make("thead", {}, this.head), this.body),
    );
    this.node = this.makeNode();
  }

  makeNode() {
    const button = (label, click) => make("button", { type: "button", click }, label);
    const node = make(
      "details",
      { className: "chart-details" },
      make("summary", {}, "Table and downloads"),
      this.text,
      this.scroll,
      make(
        "p",
        { className: "actions" },
        button("Download as CSV", () => this.saveCsv()),
        button("Download as image", () => this.savePng()),
      ),
    );
    node.addEventListener("toggle", () => this.fill());
    return node;
  }

  /** @param {Kind} kind */
  name({ title }) {
    this.caption.textContent = title;
    this.scroll.setAttribute("aria-label", `${title}, as a table`);
  }

  /** Write the table anew, where it is open. */
  fill() {
    const { kind, data, figure } = this.chart;
    if (!this.node.open || !figure || !data) return;
    const { titles, rows } = table(kind, data, figure.span());
    this.head.replaceChildren(...titles.map((title) => make("th", { scope: "col" }, title)));
    const cell = (text, k) => (k ? make("td", {}, text) : make("th", { scope: "row" }, text));
    this.body.replaceChildren(...rows.map((row) => make("tr", {}, ...row.map(cell))));
  }

  fileName() {
    return `tipsim-${this.chart.name.replaceAll(".", "-")}`;
  }

  saveCsv() {
    const { kind, data } = this.chart;
    if (!kind || !data) return;
    const used = methods();
    const text = used ? `${csv(kind, data)}# ${used}\r\n` : csv(kind, data);
    save(new Blob([text], { type: "text/csv" }), `${this.fileName()}.csv`);
  }

  async savePng() {
    const { figure } = this.chart;
    if (figure) save(await figure.png(methods()), `${this.fileName()}.png`);
  }
}
