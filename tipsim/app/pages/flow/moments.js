// The moments that count, as a table beside the curves.

import { make } from "../../framework/make.js";

const HEADS = ["Moment", "Time, s", "Chamber, mmHg", "Vacuum, mmHg", "Bottle", "Mouth", "Hole", "Leak"];

export class Moments {
  constructor() {
    this.box = make("div", { className: "scroll", tabIndex: 0, role: "region", ariaLabel: "Moments of both runs" });
    this.node = make("details", { className: "moments" }, make("summary", {}, "Moments that count, as a table"), this.box);
  }

  take(flow) {
    this.box.replaceChildren(...flow.sides.map((side) => this.table(side)));
  }

  table({ side, needle, moments }) {
    const caption = make("caption", {}, make("span", { className: `letter ${side}` }, side.toUpperCase()), ` ${needle}; flows in mL/min`);
    const head = make("tr", {}, ...HEADS.map((text) => make("th", { scope: "col" }, text)));
    const rows = moments.map(([name, ...values]) =>
      make("tr", {}, make("th", { scope: "row" }, name), ...values.map((text) => make("td", {}, text))),
    );
    return make("table", {}, caption, make("thead", {}, head), make("tbody", {}, ...rows));
  }
}
