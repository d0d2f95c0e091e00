// Faults one by one on needle A's bench: what one sees, and what to look at first.

import { make } from "../../framework/make.js";

const HEADS = ["Chamber", "Vacuum", "From the bottle"];

class Signs {
  constructor() {
    this.usual = make("p", { className: "usual" });
    this.list = make("div", { className: "list" });
    this.node = make(
      "div",
      { className: "signs" },
      make("h2", {}, "What a sign can mean"),
      make("p", { className: "lead" }, "Each fault alone, on bench A as it is set. Numbers are solved; what one sees and looks at first is common practice, no source."),
      this.usual,
      this.list,
    );
  }

  show({ rows = [], usual = [] }) {
    this.usual.textContent = rows.length ? `As set: ${HEADS.map((head, k) => `${head.toLowerCase()} ${usual[k]}`).join(", ")}.` : "A needle without a sleeve has no bottle and no chamber: put a sleeve on bench A to see the faults.";
    this.list.replaceChildren(...rows.map((row) => this.card(row)));
  }

  card({ title, change, looks, first, numbers }) {
    const facts = HEADS.map((head, k) => make("div", {}, make("dt", {}, head), make("dd", {}, numbers[k])));
    return make(
      "article",
      {},
      make("h3", {}, title),
      make("p", { className: "change" }, change),
      make("dl", {}, ...facts),
      make("p", {}, make("strong", {}, "One sees: "), looks),
      make("p", {}, make("strong", {}, "Look first: "), first),
    );
  }
}

export function render({ model }) {
  const signs = new Signs();
  signs.show(model.content);
  model.on("content", () => signs.show(model.content));
  return signs.node;
}
