// Where the energy goes: one bar for each needle, and the same numbers as a table.

import { make } from "../framework/make.js";

const watts = (value) => (value >= 0.0995 ? `${value.toFixed(2)}` : value >= 0.0005 ? value.toFixed(3) : "0");

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
    const { rows = [], totals = [], averaged } = this.model.content;
    if (!rows.length) return;
    const most = Math.max(...totals.map((t) => t.all), 1e-9);
    this.bars.replaceChildren(...["a", "b"].map((key, k) => this.bar(key, rows, totals[k], most)));
    const head = make(
      "tr",
      {},
      make("th", { scope: "col" }, "Watts, by cause"),
      ...["a", "b"].map((key) =>
        make(
          "th",
          { scope: "col", className: "value" },
          make("span", { className: `letter ${key}` }, key.toUpperCase()),
        ),
      ),
    );
    const body = make("tbody", {}, ...rows.flatMap((row) => this.row(row)));
    this.table.replaceChildren(
      make("thead", {}, head),
      body,
      make(
        "tfoot",
        {},
        this.sum("All together", totals, "all"),
        this.sum("Heats needle, sleeve and water in them", totals, "heats"),
      ),
    );
    this.note.textContent = `${averaged ? "Means over pulses and rests, at" : "At"} the settings of the start: ` +
      "what events change later is not in these numbers.";
  }

  bar(key, rows, total, most) {
    const parts = rows
      .filter((row) => row[key] > 0)
      .map((row) => {
        const part = make("span", { className: `part ${row.id}` });
        part.style.width = `${(100 * row[key]) / most}%`;
        return part;
      });
    return make(
      "div",
      { className: "bar" },
      make("span", { className: `letter ${key}` }, key.toUpperCase()),
      make("span", { className: "track" }, ...parts),
      make("span", { className: "sum" }, `${watts(total.all)} W`),
    );
  }

  row({ id, title, why, heats, a, b }) {
    const text = make("p", { className: "why", id: `why-e-${id}`, hidden: !this.open.has(id) }, why);
    const ask = make("button", { type: "button", className: "ask" }, "?");
    ask.setAttribute("aria-label", `About: ${title}`);
    ask.setAttribute("aria-controls", text.id);
    ask.setAttribute("aria-expanded", String(!text.hidden));
    const more = make("tr", { className: "more", hidden: text.hidden }, make("td", { colSpan: 3 }, text));
    ask.addEventListener("click", () => {
      text.hidden = !text.hidden;
      more.hidden = text.hidden;
      if (text.hidden) this.open.delete(id);
      else this.open.add(id);
      ask.setAttribute("aria-expanded", String(!text.hidden));
    });
    const name = make(
      "span",
      { className: "name" },
      make("i", { className: `swatch ${id}`, ariaHidden: "true" }),
      make("span", {}, title, heats ? "" : " (does not heat it)"),
      ask,
    );
    return [
      make(
        "tr",
        {},
        make("th", { scope: "row" }, name),
        ...[a, b].map((w) => make("td", { className: "value" }, watts(w))),
      ),
      more,
    ];
  }

  sum(title, totals, name) {
    return make(
      "tr",
      {},
      make("th", { scope: "row" }, title),
      ...totals.map((t) => make("td", { className: "value" }, watts(t[name]))),
    );
  }
}

export function render({ model }) {
  const box = new EnergyBox(model);
  box.show();
  model.on("content", () => box.show());
  return box.node;
}
