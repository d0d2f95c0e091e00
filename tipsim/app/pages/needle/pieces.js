// The table of pieces, from the hub on, and the buttons that act on the chosen one.

import { make } from "../../framework/make.js";
import { Typed } from "./typed.js";

/** @type {[string, string, number?][]} */
const ACTIONS = [
  ["insert", "Add a piece after it"],
  ["split", "Split in two"],
  ["move", "Move towards the hub", -1],
  ["move", "Move towards the opening", 1],
  ["remove", "Remove"],
];

export class Pieces {
  /**
   * @param {{key: string, label: string, unit: string, low: number, high: number}[]} columns
   * @param {any} actions with set(field, value, gesture), act(name, by), choose(piece)
   */
  constructor(columns, actions) {
    this.columns = columns;
    this.actions = actions;
    this.rows = [];
    this.body = make("tbody");
    const heads = columns.map(({ label, unit }) =>
      make("th", { scope: "col" }, label, make("small", {}, unit === "°" ? "degrees" : unit)),
    );
    const first = make("th", { scope: "col" }, make("span", { className: "sr" }, "Piece"));
    const words = "From the hub on. Turns: + left, − right. An empty radius: as before.";
    this.table = make(
      "table",
      {},
      make("caption", {}, words),
      make("thead", {}, make("tr", {}, first, ...heads)),
      this.body,
    );
    this.name = make("span", { className: "name", id: "piece-actions" });
    this.buttons = ACTIONS.map(([act, label, by = 0]) => {
      const node = make("button", { type: "button" }, label);
      node.addEventListener("click", () => {
        if (node.getAttribute("aria-disabled") !== "true") actions.act(act, by);
      });
      return { node, act, by };
    });
    this.bar = make("div", { className: "bar" }, this.name, ...this.buttons.map(({ node }) => node));
    this.bar.setAttribute("role", "group");
    this.bar.setAttribute("aria-labelledby", this.name.id);
    const title = make("summary", {}, "Pieces as numbers");
    this.node = make("details", { className: "pieces" }, title, this.table, this.bar);
  }

  /** Show what a handle has just made of a field. */
  echo(field, value) {
    const [, i, name] = field.split(".");
    this.rows[i]?.typed[this.columns.findIndex(({ key }) => key === name)].echo(value);
  }

  /** Whether something is typed into a field that is not handed over yet. */
  isDirty(input) {
    return this.rows.some(({ typed }) => typed.some((one) => one.input === input && one.dirty));
  }

  show({ pieces, before, errors }, chosen, keep) {
    while (this.rows.length > pieces.length) for (const node of this.rows.pop().nodes) node.remove();
    while (this.rows.length < pieces.length) this.add(this.rows.length);
    this.rows.forEach(({ typed, below }, i) => {
      const sentences = this.columns.map(({ key }) => errors[`pieces.${i}.${key}`]);
      this.columns.forEach(({ key }, k) => {
        typed[k].input.placeholder = before[i][key] ?? "";
        typed[k].show(pieces[i][key], sentences[k], keep);
      });
      below.hidden = !sentences.some(Boolean);
    });
    this.choose(chosen);
  }

  add(i) {
    const typed = this.columns.map(({ key, label, unit, low, high }) => {
      const send = (value, gesture) => this.actions.set(`pieces.${i}.${key}`, value, gesture);
      const name = `Piece ${i + 1}: ${label.toLowerCase()}, ${unit === "°" ? "degrees" : unit}`;
      return new Typed(`piece-${i}-${key}`, name, { unit, send, hint: `${low} to ${high} ${unit}` });
    });
    const cells = typed.map(({ input }) => make("td", {}, input));
    const row = make("tr", {}, make("th", { scope: "row" }, String(i + 1)), ...cells);
    const said = make("td", { colSpan: cells.length + 1 }, ...typed.map(({ wrong }) => wrong));
    const below = make("tr", { hidden: true }, said);
    for (const event of ["focusin", "click"]) row.addEventListener(event, () => this.actions.choose(i));
    this.rows.push({ typed, row, below, nodes: [row, below] });
    this.body.append(row, below);
  }

  choose(chosen) {
    this.rows.forEach(({ row }, i) => {
      if (i === chosen) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    });
    this.name.textContent = `Piece ${chosen + 1}`;
    const count = this.rows.length;
    for (const { node, act, by } of this.buttons) {
      const to = chosen + by;
      const off = (act === "remove" && count === 1) || to < 0 || to >= count;
      node.setAttribute("aria-disabled", String(off));
    }
  }
}
