// Where the energy goes: one bar for each needle, and the same numbers as a table.

import { make } from "../../framework/make.js";

const SIDES = ["a", "b"];
const letter = (key) => make("span", { className: `letter ${key}` }, key.toUpperCase());
const values = (texts) => texts.map((text) => make("td", { className: "value" }, text));

class EnergyBox {
  constructor(model) {
    this.model = model;
    this.bars = make("div", { className: "bars", ariaHidden: "true" });
    this.table = make("table", {});
    this.open = new Set();
    this.note = make("p", { className: "note" });
    this.node = make("section", {}, make("h2", {}, "Where the energy goes"), this.bars, this.table, this.note);
  }

  show() {
    const { rows = [], totals = [], most, averaged } = this.model.content;
    if (!rows.length) return;
    this.bars.replaceChildren(...SIDES.map((key, k) => this.bar(key, k, rows, totals[0].text[k], most)));
    const titles = SIDES.map((key) => make("th", { scope: "col", className: "value" }, letter(key)));
    const head = make("tr", {}, make("th", { scope: "col" }, "Power by cause, W"), ...titles);
    const sums = totals.map(({ title, text }) => make("tr", {}, make("th", { scope: "row" }, title), ...values(text)));
    this.table.replaceChildren(
      make("thead", {}, head),
      make("tbody", {}, ...rows.flatMap((row) => this.row(row))),
      make("tfoot", {}, ...sums),
    );
    this.note.textContent = `${averaged ? "Means over pulses and rests, at" : "At"} the settings of the start: ` +
      "what events change later is not in these numbers.";
  }

  bar(key, k, rows, total, most) {
    const parts = rows.filter(({ watts }) => watts[k] > 0).map(({ id, watts }) => {
      const part = make("span", { className: `part ${id}` });
      part.style.width = `${(100 * watts[k]) / most}%`;
      return part;
    });
    const track = make("span", { className: "track" }, ...parts);
    return make("div", { className: "bar" }, letter(key), track, make("span", { className: "sum" }, `${total} W`));
  }

  row({ id, title, why, heats, text }) {
    const more = make(
      "tr",
      { className: "more", id: `why-e-${id}`, hidden: !this.open.has(id) },
      make("td", { colSpan: 3 }, make("p", { className: "why" }, why)),
    );
    const ask = make("button", { type: "button", className: "ask", ariaLabel: `About: ${title}` }, "?");
    ask.setAttribute("aria-controls", more.id);
    ask.setAttribute("aria-expanded", String(!more.hidden));
    ask.addEventListener("click", () => {
      more.hidden = !more.hidden;
      this.open[more.hidden ? "delete" : "add"](id);
      ask.setAttribute("aria-expanded", String(!more.hidden));
    });
    const swatch = make("i", { className: `swatch ${id}`, ariaHidden: "true" });
    const words = make("span", {}, title, heats ? "" : " (no heating)");
    const name = make("span", { className: "name" }, swatch, words, ask);
    return [make("tr", {}, make("th", { scope: "row" }, name), ...values(text)), more];
  }
}

export function render({ model }) {
  const box = new EnergyBox(model);
  box.show();
  model.on("content", () => box.show());
  return box.node;
}
