// Faults one by one on needle A's bench: what one sees, and what to look at first.

import { make } from "../../framework/make.js";

const HEADS = ["Chamber", "Vacuum", "From the bottle"];
const LEAD =
  "Each fault alone, on bench A as it is set. Numbers are solved; what one sees and looks at first is common " +
  "practice, without a source.";
const BARE =
  "A needle without a sleeve has no bottle and no chamber: put a sleeve on bench A to see the faults.";

class Signs {
  constructor() {
    this.usual = make("p", { className: "usual" });
    this.list = make("div", { className: "list" });
    this.node = make(
      "div",
      { className: "signs" },
      make("h2", {}, "What a sign can mean"),
      make("p", { className: "lead" }, LEAD),
      this.usual,
      this.list,
    );
  }

  show({ rows = [], usual = [] }) {
    const now = HEADS.map((head, k) => `${head.toLowerCase()} ${usual[k]}`).join(", ");
    this.usual.textContent = rows.length ? `As set: ${now}.` : BARE;
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
      make("p", {}, make("strong", {}, "Signs: "), looks),
      make("p", {}, make("strong", {}, "Check first: "), first),
    );
  }
}

export function render({ model }) {
  const signs = new Signs();
  signs.show(model.content);
  model.on("content", () => signs.show(model.content));
  return signs.node;
}
