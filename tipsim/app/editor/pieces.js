// The table of pieces, from the hub on, and the buttons that act on the chosen one.

import { make } from "../framework/make.js";
import { Typed } from "./fields.js";

const COLUMNS = [
  ["length_mm", "Length", "mm"],
  ["turn_deg", "Turn", "°"],
  ["outer_radius_mm", "Outer radius", "mm"],
  ["inner_radius_mm", "Inner radius", "mm"],
];
const LABELS = {
  length_mm: (n) => `Length of piece ${n}, mm`,
  turn_deg: (n) => `Turn of piece ${n}, degrees`,
  outer_radius_mm: (n) => `Outer radius at the end of piece ${n}, mm; empty: as before`,
  inner_radius_mm: (n) => `Inner radius at the end of piece ${n}, mm; empty: as before`,
};
/** @type {[string, string, { by?: number }][]} */
const ACTIONS = [
  ["insert", "Add a piece after it", {}],
  ["split", "Split in two", {}],
  ["move", "Move towards the hub", { by: -1 }],
  ["move", "Move towards the mouth", { by: 1 }],
  ["remove", "Remove", {}],
];

export class Pieces {
  /** @param {any} actions with set(field, value), act(change), choose(piece) */
  constructor(known, actions) {
    this.known = known;
    this.actions = actions;
    this.rows = [];
    this.body = make("tbody");
    const heads = COLUMNS.map(([, name, unit]) =>
      make("th", { scope: "col" }, name, make("small", {}, unit === "°" ? "degrees" : unit)),
    );
    const table = make(
      "table",
      {},
      make("caption", {}, "From the hub on. Turns: + left, − right. Radii at the piece’s end; empty: as before."),
      make(
        "thead",
        {},
        make("tr", {}, make("th", { scope: "col" }, make("span", { className: "sr" }, "Piece")), ...heads),
      ),
      this.body,
    );
    this.wrong = make("p", { className: "wrong", hidden: true });
    this.wrong.setAttribute("role", "alert");
    this.name = make("span", { className: "name", id: "piece-actions" });
    this.bar = make("div", { className: "piece-actions" }, this.name, ...this.buttons());
    this.bar.setAttribute("role", "group");
    this.bar.setAttribute("aria-labelledby", this.name.id);
    this.node = make("section", { className: "pieces" }, make("h2", {}, "Pieces"), table, this.wrong, this.bar);
  }

  buttons() {
    this.marks = [];
    return ACTIONS.map(([act, label, more]) => {
      const button = make("button", { type: "button" }, label);
      button.addEventListener("click", () => {
        if (button.getAttribute("aria-disabled") !== "true") this.actions.act({ do: act, at: this.chosen, ...more });
      });
      this.marks.push([button, act, more.by]);
      return button;
    });
  }

  /** Show what a handle has just made of a field. */
  echo(field, value) {
    const [, i, name] = field.split(".");
    this.rows[i]?.typed[COLUMNS.findIndex(([column]) => column === name)].echo(value);
  }

  show(reply, chosen, keep) {
    this.count = reply.draft.pieces.length;
    while (this.rows.length > this.count) for (const node of this.rows.pop().nodes) node.remove();
    while (this.rows.length < this.count) this.add(this.rows.length);
    this.rows.forEach((row, i) => this.showRow(row, i, reply, keep));
    const whole = reply.errors.pieces;
    this.wrong.hidden = !whole;
    if (this.wrong.textContent !== (whole ?? "")) this.wrong.textContent = whole ?? "";
    this.choose(chosen);
  }

  add(i) {
    const typed = COLUMNS.map(([name, , unit]) => {
      const { low, high } = this.known.piece[name];
      const hint = `${low} to ${high} ${unit}`;
      const send = (value, run) => this.actions.set(`pieces.${i}.${name}`, value, run);
      return new Typed(`piece-${i}-${name}`, LABELS[name](i + 1), { unit, hint, send });
    });
    const row = make(
      "tr",
      {},
      make("th", { scope: "row" }, String(i + 1)),
      ...typed.map(({ input }) => make("td", {}, input)),
    );
    const told = make("td", { colSpan: COLUMNS.length + 1 }, ...typed.map(({ wrong }) => wrong));
    const below = make("tr", { className: "told", hidden: true }, told);
    row.addEventListener("focusin", () => this.actions.choose(i));
    row.addEventListener("click", () => this.actions.choose(i));
    this.rows.push({ typed, row, below, nodes: [row, below] });
    this.body.append(row, below);
  }

  showRow({ typed, below }, i, reply, keep) {
    let anything = false;
    COLUMNS.forEach(([name], k) => {
      const sentence = reply.errors[`pieces.${i}.${name}`];
      anything ||= Boolean(sentence);
      if (k >= 2) typed[k].input.placeholder = reply.draft.before[i][k - 2];
      typed[k].show(reply.draft.pieces[i][name], sentence, keep);
    });
    below.hidden = !anything;
  }

  choose(chosen) {
    this.chosen = chosen;
    this.rows.forEach(({ row }, i) => {
      if (i === chosen) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    });
    this.name.textContent = `Piece ${chosen + 1}`;
    for (const [button, act, by] of this.marks) {
      const off =
        (act === "remove" && this.count === 1) ||
        (by === -1 && chosen === 0) ||
        (by === 1 && chosen === this.count - 1);
      button.setAttribute("aria-disabled", String(off));
    }
  }
}
