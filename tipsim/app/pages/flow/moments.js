// The key moments of both runs as a table beside the curves.

import { make } from "../../framework/make.js";

const HEADS = ["Moment", "Time, s", "Chamber, mmHg", "Vacuum, mmHg", "Bottle", "Mouth", "Hole", "Leak"];

export class Moments {
  constructor() {
    const region = { className: "scroll", tabIndex: 0, role: "region", ariaLabel: "Key moments of both runs" };
    this.box = make("div", region);
    this.node = make("details", { className: "moments" }, make("summary", {}, "Key moments as a table"), this.box);
  }

  take(flow) {
    this.box.replaceChildren(...flow.sides.map((side) => this.table(side)));
  }

  table({ side, needle, moments }) {
    const letter = make("span", { className: `letter ${side}` }, side.toUpperCase());
    const caption = make("caption", {}, letter, ` ${needle}; flows in mL/min`);
    const head = make("tr", {}, ...HEADS.map((text) => make("th", { scope: "col" }, text)));
    const rows = moments.map(([name, ...values]) =>
      make("tr", {}, make("th", { scope: "row" }, name), ...values.map((text) => make("td", {}, text))),
    );
    return make("table", {}, caption, make("thead", {}, head), make("tbody", {}, ...rows));
  }
}
