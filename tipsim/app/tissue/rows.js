// A table of numbers of both needles with their bands; each row opens what it rests on.

import { make } from "../framework/make.js";

export const sideLetter = (key) => make("span", { className: `letter ${key}` }, key.toUpperCase());

/** A button with a question mark that opens and closes a node. */
export const asking = (label, opened) => {
  const button = make("button", { type: "button", className: "ask" }, "?");
  button.setAttribute("aria-label", label);
  button.setAttribute("aria-expanded", "false");
  button.setAttribute("aria-controls", opened.id);
  button.addEventListener("click", () => {
    opened.hidden = !opened.hidden;
    button.setAttribute("aria-expanded", String(!opened.hidden));
  });
  return button;
};

/** Where numbers come from, as a list: label, value, status, source. */
export const sourceList = (ids, sources) =>
  make(
    "ul",
    { className: "from" },
    ...ids
      .filter((id) => sources[id])
      .map((id) => {
        const { label, text, status, meaning, source } = sources[id];
        return make(
          "li",
          {},
          make("strong", {}, label),
          ` ${text} `,
          make("span", { className: "chip", title: meaning }, status),
          ` ${source}`,
        );
      }),
  );

const fill = (cell, { text, band }) =>
  cell.replaceChildren(make("b", {}, text), ...(band ? [make("small", {}, band)] : []));

class NumberRow {
  constructor(row, sources) {
    this.sources = sources;
    this.label = make("span", {});
    this.why = make("td", { colSpan: 3 });
    this.more = make("tr", { className: "more", id: `from-${row.id}`, hidden: true }, this.why);
    this.button = asking(`Where does this number come from? ${row.label}`, this.more);
    this.a = make("td", { className: "value" });
    this.b = make("td", { className: "value" });
    const name = make("span", { className: "name" }, this.label, this.button);
    this.main = make("tr", {}, make("th", { scope: "row" }, name), this.a, this.b);
  }

  show(row) {
    this.label.textContent = row.label;
    fill(this.a, row.a);
    fill(this.b, row.b);
    const said = ["a", "b"].filter((key) => row[key].more).map((key) => `${key.toUpperCase()}: ${row[key].more}.`);
    this.why.replaceChildren(
      make(
        "div",
        { className: "why" },
        make("p", {}, row.why),
        ...(said.length ? [make("p", {}, said.join(" "))] : []),
        sourceList(row.from, this.sources),
      ),
    );
  }
}

export class NumberTable {
  constructor(title, sources) {
    this.title = title;
    this.sources = sources;
    this.rows = new Map();
    this.body = make("tbody", {});
    const head = (key) => make("th", { scope: "col", className: "value" }, sideLetter(key));
    this.node = make(
      "table",
      { className: "numbers" },
      make("thead", {}, make("tr", {}, make("th", { scope: "col" }, title), head("a"), head("b"))),
      this.body,
    );
  }

  show(rows) {
    const ids = rows.map(({ id }) => id).join();
    if (ids !== this.ids) {
      this.ids = ids;
      this.rows = new Map(rows.map((row) => [row.id, new NumberRow(row, this.sources)]));
      this.body.replaceChildren(...[...this.rows.values()].flatMap(({ main, more }) => [main, more]));
    }
    for (const row of rows) this.rows.get(row.id).show(row);
  }
}

export const SMALL_PRINT =
  "In small print: nine tenths of what came out when every assumed number was drawn from its whole range, " +
  "none more likely than another.";

/** A line with a question mark that opens where a picture's numbers come from. */
export const openedSources = (id, words, ids, sources) => {
  const box = make("div", { className: "why", id: `from-${id}`, hidden: true }, sourceList(ids, sources));
  const line = make("p", { className: "name soft" }, words, asking(`Where does this come from? ${words}`, box));
  return make("div", {}, line, box);
};

/** Short texts with a title and where they come from. */
export const noteList = (notes) =>
  make(
    "ul",
    { className: "notes" },
    ...notes.map(({ title, text, status }) =>
      make("li", {}, make("strong", {}, `${title}. `), text, " ", make("span", { className: "chip" }, status)),
    ),
  );
