// Numbers of both needles, beside published ones; each row says where it comes from.

import { make } from "./make.js";

const VERDICTS = {
  inside: ["✓", "fits"],
  outside: ["✗", "does not fit"],
  "other setting": ["–", "not comparable now"],
};

const letter = (key) => make("span", { className: `letter ${key}` }, key.toUpperCase());

const paragraph = ({ side, title, lines }) =>
  make(
    "div",
    { className: "told" },
    make("h3", {}, side ? letter(side) : null, side ? ` ${title}` : title),
    make("ul", {}, ...lines.map((line) => make("li", {}, line))),
  );

class Row {
  constructor(row) {
    this.label = make("span", {});
    this.why = make("p", { className: "why", id: `why-${row.id}`, hidden: true });
    this.button = make("button", { type: "button", className: "ask" }, "?");
    this.button.setAttribute("aria-expanded", "false");
    this.button.setAttribute("aria-controls", this.why.id);
    this.button.addEventListener("click", () => {
      this.why.hidden = !this.why.hidden;
      this.more.hidden = this.why.hidden && this.check.hidden;
      this.button.setAttribute("aria-expanded", String(!this.why.hidden));
    });
    this.a = make("td", { className: "value" });
    this.b = make("td", { className: "value" });
    this.check = make("p", { className: "check" });
    const name = make("th", { scope: "row" }, make("span", { className: "name" }, this.label, this.button));
    this.main = make("tr", {}, name, this.a, this.b);
    this.more = make("tr", { className: "more" }, make("td", { colSpan: 3 }, this.check, this.why));
  }

  show(row) {
    this.label.textContent = row.label;
    this.button.setAttribute("aria-label", `Where does this number come from? ${row.label}`);
    this.a.textContent = row.a;
    this.b.textContent = row.b;
    this.why.textContent = row.why;
    this.check.hidden = !row.check;
    this.more.hidden = this.why.hidden && !row.check;
    if (!row.check) return;
    const [sign, words] = VERDICTS[row.check.verdict];
    this.check.className = `check ${row.check.verdict.split(" ")[0]}`;
    this.check.replaceChildren(
      make("strong", {}, `${sign} ${words}`),
      ` ${row.check.text} `,
      make("span", { className: "chip" }, row.check.status),
    );
  }
}

class Panel {
  constructor(model) {
    this.model = model;
    this.words = make("div", { className: "words" });
    this.tables = make("div", { className: "tables" });
    this.warnings = make("ul", { className: "warnings" });
    this.list = make("ul", { className: "sources" });
    this.rows = new Map();
    const sources = make("details", {}, make("summary", {}, "Where do these numbers come from?"), this.list);
    this.node = make(
      "div",
      { className: "readout" },
      ...(this.model.title ? [make("section", {}, make("h2", {}, this.model.title), this.words)] : []),
      make("section", {}, make("h2", {}, "Numbers"), this.warnings, this.tables),
      sources,
    );
  }

  content() {
    const { words = [], sections = [] } = this.model.content;
    this.words.replaceChildren(...words.filter(({ lines }) => lines.length).map(paragraph));
    const ids = sections.flatMap((section) => section.rows.map((row) => row.id)).join();
    if (ids !== this.ids) this.build(sections);
    this.ids = ids;
    for (const section of sections) for (const row of section.rows) this.rows.get(row.id).show(row);
  }

  build(sections) {
    this.rows.clear();
    const bodies = sections.map((section) => {
      const head = make(
        "tr",
        { className: "head" },
        make("th", { scope: "col" }, section.title),
        make("th", { scope: "col", className: "value" }, letter("a")),
        make("th", { scope: "col", className: "value" }, letter("b")),
      );
      const body = make("tbody", {}, head);
      for (const row of section.rows) {
        const each = new Row(row);
        this.rows.set(row.id, each);
        body.append(each.main, each.more);
      }
      return body;
    });
    this.tables.replaceChildren(make("table", {}, ...bodies));
  }

  warn() {
    this.warnings.replaceChildren(...this.model.warnings.map((text) => make("li", {}, text)));
    this.warnings.hidden = !this.model.warnings.length;
  }

  sources() {
    const items = this.model.sources.map(({ what, value, status, source }) =>
      make(
        "li",
        {},
        make("strong", {}, what),
        make("span", { className: "span" }, value),
        make("span", { className: "chip", title: this.model.meanings[status] ?? "" }, status),
        make("p", {}, source),
      ),
    );
    this.list.replaceChildren(...items);
  }
}

export function render({ model }) {
  const panel = new Panel(model);
  panel.content();
  panel.sources();
  model.on("content", () => panel.content());
  panel.warn();
  model.on("warnings", () => panel.warn());
  model.on("sources", () => panel.sources());
  return panel.node;
}
