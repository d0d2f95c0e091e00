// Cutting, heat, iris and stress of both sides with bands; what practice claims, held to the model.

import { draw, make, ticks } from "../framework/make.js";
import { asking, sideLetter, sourceList } from "./rows.js";

const ROOM = { left: 22, right: 22, row: 22, top: 6, foot: 20 };
const BETTER = { more: "further right cuts more", less: "further left is gentler" };
const VERDICTS = {
  holds: ["✓", "holds over the whole band"],
  partly: ["~", "holds as set, not over the whole band"],
  fails: ["✗", "does not hold as set"],
  none: ["–", "cannot be tried"],
};

class Bars {
  constructor({ id, label }, sources) {
    this.sources = sources;
    this.label = make("h4", {});
    this.svg = draw("svg", { role: "img", class: "bars" });
    this.values = make("p", { className: "values" });
    this.from = make("div", { className: "why", id: `from-${id}`, hidden: true });
    const ask = asking(`Where does this come from? ${label}`, this.from);
    const head = make("div", { className: "head" }, this.label, ask);
    this.node = make("div", { className: "row" }, head, this.svg, this.values, this.from);
    new ResizeObserver(() => this.paint()).observe(this.node);
  }

  show(row) {
    this.row = row;
    this.label.replaceChildren(row.label, make("small", {}, ` ${row.unit}; ${BETTER[row.better]}`));
    const said = row.sides.map(({ text, band }, k) => `${"AB"[k]} ${text} (${band})`);
    this.svg.setAttribute("aria-label", `${row.label}, ${row.unit}. ${said.join(", ")}.`);
    this.values.replaceChildren(
      ...row.sides.flatMap(({ text, band }, k) => [
        make("span", {}, sideLetter("ab"[k]), ` ${text} `, make("small", {}, `(${band})`)),
      ]),
    );
    this.from.replaceChildren(sourceList(row.from, this.sources));
    this.paint();
  }

  x(value) {
    const { low, high, scale } = this.row;
    const share =
      scale === "log" ? Math.log(Math.max(value, low) / low) / Math.log(high / low) : (value - low) / (high - low);
    return ROOM.left + Math.min(1, Math.max(0, share)) * (this.width - ROOM.left - ROOM.right);
  }

  marks() {
    const { low, high, scale } = this.row;
    if (scale !== "log") return ticks(low, high, 5);
    const out = [];
    for (let k = Math.round(Math.log10(low)); k <= Math.log10(high) + 1e-9; k += 1) out.push(10 ** k);
    return out;
  }

  paint() {
    if (!this.row || !this.node.clientWidth) return;
    this.width = Math.max(260, this.node.clientWidth);
    const tall = ROOM.top + 2 * ROOM.row + ROOM.foot;
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${tall}`);
    const out = [];
    for (const v of this.marks()) {
      const x = this.x(v);
      out.push(draw("line", { x1: x, x2: x, y1: 0, y2: tall - ROOM.foot, class: "grid" }));
      const text = draw("text", { x, y: tall - 5, class: "mid" });
      text.textContent = String(Number(v.toPrecision(3)));
      out.push(text);
    }
    this.row.sides.forEach((side, k) => out.push(...this.side(side, "ab"[k], ROOM.top + (k + 0.5) * ROOM.row)));
    this.svg.replaceChildren(...out);
  }

  side({ low, inner, usual, high }, key, y) {
    const off = this.row.scale === "log" && low < this.row.low;
    return [
      draw("line", { x1: this.x(low), x2: this.x(high), y1: y, y2: y, class: `whole ${key}` }),
      ...(off ? [draw("path", { d: `M${ROOM.left} ${y - 4}l-7 4l7 4z`, class: `dot ${key}` })] : []),
      draw("line", { x1: this.x(inner[0]), x2: this.x(inner[1]), y1: y, y2: y, class: `inner ${key}` }),
      key === "a"
        ? draw("circle", { cx: this.x(usual), cy: y, r: 6, class: "dot a" })
        : draw("rect", { x: this.x(usual) - 5.5, y: y - 5.5, width: 11, height: 11, class: "dot b" }),
    ];
  }
}

class TradePanel {
  constructor(model) {
    this.model = model;
    this.bars = new Map();
    this.box = make("input", { type: "checkbox", id: "equal-cutting" });
    this.box.addEventListener("change", () => this.send("equal", this.box.checked));
    this.words = make("div", {});
    this.words.setAttribute("role", "status");
    this.sides = make("p", { className: "values" });
    this.rows = make("div", { className: "rows" });
    this.claims = make("div", { className: "claims" });
    this.gap = make("p", {});
    this.lay = make(
      "button",
      { type: "button", click: () => this.send("eye.iris_gap_mm", 0) },
      "Let the iris lie on the sleeve (gap 0)",
    );
    this.pair = make("p", { className: "soft" });
    this.root = make(
      "div",
      { className: "part" },
      make("label", { className: "switch" }, this.box, "Equal cutting: B takes the power at which it cuts like A"),
      this.words,
      this.sides,
      this.rows,
      make(
        "p",
        { className: "soft" },
        "Dot and square: as set. Thick: nine tenths of what came out when every assumed number was drawn from its " +
        "range. Thin: all that was found; for stress, the range of the metal's strength. An arrow: it goes on " +
        "beyond the picture. Bands of A and B share most of their numbers, so overlap does not mean that they are " +
        "alike.",
      ),
      make("h3", {}, "A claim of common practice, held to the model"),
      make(
        "p",
        {},
        "Where the iris touches the sleeve, a single-bend needle is said to rub pigment off and a counter-bent one " +
        "hardly any ",
        make("span", { className: "chip" }, "common practice"),
        ". Taken here as: work of rubbing, A over B, above 4 at equal power and above 2 at equal cutting. The two " +
        "limits have no source either.",
      ),
      this.gap,
      this.lay,
      this.pair,
      this.claims,
    );
  }

  send(field, value) {
    this.model.send_msg({ changes: [{ side: "both", field, value }] });
  }

  show() {
    const { rows = [], equal, words = [], titles = [], powers = [], claims = [] } = this.model.content;
    this.box.checked = equal;
    const said = words.join(" ");
    if (this.words.textContent !== said) this.words.replaceChildren(...words.map((line) => make("p", {}, line)));
    this.sides.replaceChildren(
      ...titles.map((title, k) => make("span", {}, sideLetter("ab"[k]), ` ${title}, ${powers[k]} power`)),
    );
    this.picture(rows);
    this.gap.textContent = this.model.content.gap ?? "";
    this.lay.hidden = Boolean(this.model.content.touches);
    this.pair.textContent = this.model.content.pair
      ? ""
      : "The claim is about a single-bend needle as A and a counter-bent one as B; here other needles are compared.";
    this.claims.replaceChildren(...claims.map((claim) => this.claim(claim)));
  }

  picture(rows) {
    const heat = rows.some(({ id }) => id === "heat");
    for (const row of rows) {
      if (!this.bars.has(row.id)) this.bars.set(row.id, new Bars(row, this.model.sources));
      this.bars.get(row.id).show(row);
    }
    const nodes = rows.map(({ id }) => this.bars.get(id).node);
    if (!heat) nodes.splice(1, 0, make("p", { className: "soft waiting" }, "Heat is being computed …"));
    this.rows.replaceChildren(...nodes);
  }

  claim({ id, title, least, ratio, band, verdict, words, rows }) {
    const [sign, said] = VERDICTS[verdict];
    const open = this.open?.[id];
    const list = make(
      "details",
      { open: Boolean(open) },
      make("summary", {}, "Each number moved alone"),
      this.moved(rows, least),
    );
    list.addEventListener("toggle", () => (this.open = { ...this.open, [id]: list.open }));
    return make(
      "section",
      { className: `claim ${verdict}` },
      make("h4", {}, title),
      make(
        "p",
        { className: "ratio" },
        ratio ? `A over B: ${ratio}` : "no ratio",
        ...(band
          ? [
              make(
                "small",
                {},
                ` ${band} over ${this.model.content.wide ? "all that is assumed" : "the numbers of the iris"}`,
              ),
            ]
          : []),
      ),
      make("p", {}, make("strong", {}, `${sign} ${said}`), ` (limit ${least}). ${words}`),
      ...(rows.length ? [list] : []),
    );
  }

  moved(rows, least) {
    const lines = rows.flatMap(({ id, label, low, high, holds, ever }, k) => {
      const more = make(
        "tr",
        { className: "more", id: `claim-${least}-${k}`, hidden: true },
        make("td", { colSpan: 3 }, make("div", { className: "why" }, sourceList([id], this.model.sources))),
      );
      const name = make(
        "span",
        { className: "name" },
        make("span", {}, label),
        asking(`Where does this number come from? ${label}`, more),
      );
      const verdict = holds ? "✓ always" : ever ? "~ partly" : "✗ never";
      return [
        make(
          "tr",
          {},
          make("th", { scope: "row" }, name),
          make("td", { className: "value" }, `${low} to ${high}`),
          make("td", { className: "value" }, verdict),
        ),
        more,
      ];
    });
    const head = ["Number", "Ratio", `Over ${least}`].map((words, k) =>
      make("th", { scope: "col", className: k ? "value" : "" }, words),
    );
    return make("table", {}, make("thead", {}, make("tr", {}, ...head)), make("tbody", {}, ...lines));
  }
}

export function render({ model }) {
  const panel = new TradePanel(model);
  panel.show();
  model.on("content", () => panel.show());
  return panel.root;
}
