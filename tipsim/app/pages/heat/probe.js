// The probe: a place in the cut that pointer or keyboard choose, read on both needles.

import { make } from "../../framework/make.js";
import { hottest, read, rowOf, rowWords, sliceAt } from "./run.js";

const STEP_MM = 0.25;

export class Probe {
  constructor(changed) {
    this.changed = changed;
    this.fromEnd = 6;
    this.layer = "outer";
    this.which = "pressed";
    this.mine = 0;
    this.place = make("span", { className: "at where" });
    this.values = ["a", "b"].map((key) => make("td", {}, "–", ` ${key}`));
    this.hot = ["a", "b"].map(() => make("td"));
    const head = (key) => make("th", { scope: "col" }, make("span", { className: `letter ${key}` }, key.toUpperCase()));
    this.node = make(
      "div",
      { className: "probe-box" },
      make(
        "table",
        {},
        make("caption", { className: "sr" }, "Temperatures now"),
        make("thead", {}, make("tr", {}, make("td", {}), head("a"), head("b"))),
        make(
          "tbody",
          {},
          make("tr", {}, make("th", { scope: "row" }, "Probe", this.place), ...this.values),
          make("tr", {}, make("th", { scope: "row" }, "Hottest place now"), ...this.hot),
        ),
      ),
    );
  }

  take(run) {
    this.run = run;
    const longest = Math.max(...run.sides.map((side) => side.length));
    this.fromEnd = Math.min(this.fromEnd, longest);
    if (!this.row(this.mine)) Object.assign(this, { layer: "metal", which: "pressed" });
  }

  /** The probed row of a side, where there is one. */
  row(k) {
    return rowOf(this.run.sides[k], this.layer, this.which) ?? rowOf(this.run.sides[k], this.layer, "pressed");
  }

  moveTo(fromEnd, row = null, mine = this.mine) {
    this.fromEnd = fromEnd;
    if (row) Object.assign(this, { layer: row.layer, which: row.side });
    this.mine = mine;
    this.changed();
  }

  /** Arrow keys: left and right along the needle, up and down through the layers. */
  key(event, k) {
    const side = this.run.sides[k];
    const along = { ArrowLeft: 1, ArrowRight: -1 }[event.key];
    const across = { ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (!along && !across && !["Home", "End"].includes(event.key)) return;
    event.preventDefault();
    if (across) return this.across(side, k, across);
    let place = this.fromEnd + (along ?? 0) * STEP_MM;
    if (event.key === "Home") place = side.length;
    if (event.key === "End") place = 0;
    return this.moveTo(Math.min(side.length, Math.max(0, place)), null, k);
  }

  across(side, k, way) {
    const i = sliceAt(side, this.fromEnd) ?? 0;
    const rows = side.rows.filter((row) => i >= row.start && i < row.start + row.count);
    const now = rows.findIndex((row) => row === this.row(k));
    // A layer that is not here: begin with the outermost on this way.
    const next = now < 0 ? (way > 0 ? 0 : rows.length - 1) : Math.min(rows.length - 1, Math.max(0, now + way));
    this.moveTo(this.fromEnd, rows[next], k);
  }

  show() {
    const { sides } = this.run;
    const name = rowWords(this.row(this.mine) ?? { layer: this.layer, side: this.which });
    this.place.textContent = `${name}, ${this.fromEnd.toFixed(2)} mm from the tip`;
    sides.forEach((side, k) => {
      const value = read(side, this.row(k), this.fromEnd);
      this.values[k].textContent = value === null ? "–" : `${value.toFixed(1)} °C`;
      const top = hottest(side);
      this.hot[k].replaceChildren(
        make("span", {}, `${top.celsius.toFixed(1)} °C`),
        make("span", { className: "at" }, `${rowWords(top.row)}, ${top.fromEnd.toFixed(1)} mm`),
      );
    });
  }

  sentence() {
    const words = this.values.map((cell, k) => `${"AB"[k]} ${cell.textContent}`);
    return `${this.place.textContent}: ${words.join(", ")}`;
  }
}
