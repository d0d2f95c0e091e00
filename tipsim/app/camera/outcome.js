// What the film says, beside what is true.

import { make } from "../framework/make.js";

const SIGNS = { good: "✓", bad: "✗", open: "?" };
const NAMES = { good: "right", bad: "wrong", open: "open" };

class Panel {
  constructor(model) {
    this.model = model;
    this.verdicts = make("dl", { className: "verdicts" });
    this.reasons = make("ul", { className: "reasons" });
    this.rows = make("tbody", {});
    this.facts = make("dl", { className: "facts" });
    this.open = new Set();
    this.note = make("p", { className: "note" });
    this.node = make(
      "div",
      { className: "outcome" },
      make("section", {}, make("h2", {}, "Can this film be believed?"), this.verdicts, this.reasons),
      make("section", {}, make("h2", {}, "Seen and true, µm peak to peak"), this.table(), this.note),
      make("section", {}, make("h2", {}, "By formula"), this.facts),
    );
  }

  table() {
    const heads = ["Marker", "True", "Seen", "Sine", "Error", "Direction"];
    const head = make("tr", {}, ...heads.map((text) => make("th", { scope: "col" }, text)));
    return make("table", {}, make("thead", {}, head), this.rows);
  }

  show() {
    const { verdicts, reasons, rows, facts, first } = this.model.content;
    this.verdicts.replaceChildren(...verdicts.map((v) => this.verdict(v)));
    this.reasons.replaceChildren(...reasons.map((text) => make("li", {}, text)));
    this.rows.replaceChildren(...rows.map((row) => this.row(row, first)));
    this.facts.replaceChildren(...facts.map((fact) => this.fact(fact)));
    this.note.textContent =
      "Seen: largest less smallest place, ± 95 % from the scatter of tracking the needle at rest. " +
      "Sine: stroke of the best fitting sine. " +
      `Direction: against marker ${first}, by correlation.`;
  }

  verdict({ about, outcome, short }) {
    const sign = make("span", { className: "sign" }, SIGNS[outcome]);
    sign.setAttribute("aria-hidden", "true");
    return make(
      "div",
      { className: outcome },
      make("dt", {}, about),
      make("dd", {}, sign, make("span", { className: "sr" }, `${NAMES[outcome]}: `), short),
    );
  }

  row(row, first) {
    const seen = make("td", { className: "number" }, row.seen);
    if (row.bar) seen.append(make("span", { className: "bar" }, ` ±${row.bar}`));
    const error = make("td", { className: `number ${row.off ? "bad" : ""}` }, row.error);
    return make(
      "tr",
      {},
      make("th", { scope: "row" }, String(row.number)),
      make("td", { className: "number" }, row.true),
      seen,
      make("td", { className: "number" }, row.fitted),
      error,
      row.number === first ? make("td", { className: "direction" }, "–") : this.direction(row),
    );
  }

  direction({ direction, true_direction, outcome }) {
    const cell = make("td", { className: `direction ${outcome}` }, `${SIGNS[outcome]} ${direction}`);
    if (direction !== true_direction) cell.append(make("span", { className: "truth" }, `is ${true_direction}`));
    return cell;
  }

  fact({ label, value, why }) {
    const words = make("p", { className: "why", hidden: true });
    const ask = make("button", { type: "button", className: "ask" }, "?");
    ask.setAttribute("aria-label", `About: ${label}`);
    ask.setAttribute("aria-expanded", String(this.open.has(label)));
    words.textContent = why;
    words.hidden = !this.open.has(label);
    ask.addEventListener("click", () => {
      if (words.hidden) this.open.add(label);
      else this.open.delete(label);
      words.hidden = !words.hidden;
      ask.setAttribute("aria-expanded", String(!words.hidden));
    });
    return make("div", {}, make("dt", {}, label, ask), make("dd", {}, value, words));
  }
}

export function render({ model }) {
  const panel = new Panel(model);
  panel.show();
  model.on("content", () => panel.show());
  return panel.node;
}
