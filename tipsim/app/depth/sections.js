// The sections behind the motion: each takes its data and paints it.

import { ChartChoice } from "../framework/chart_choice.js";
import { Chart } from "../framework/chart.js";
import { make } from "../framework/make.js";

const QUANTITIES = {
  "resonance.end": "Tip stroke, µm peak to peak",
  "resonance.shaft": "Shaft, sideways, µm rms",
  "resonance.torque": "Hub torque, N mm amplitude",
  "resonance.force": "Hub force, N amplitude",
  "resonance.power": "Power in, W",
};

/** Both needles' curves of a section's data. */
const lines = (sides, x, y) =>
  Object.fromEntries(sides.map((side) => [side.key.toLowerCase(), { x: x(side), y: y(side) }]));

const sentences = (words) => make("ul", { className: "said" }, ...words.map((text) => make("li", {}, text)));

export class ResonanceSection {
  constructor(act) {
    this.act = act;
    this.plot = new ChartChoice(QUANTITIES, "What is drawn over frequency");
    this.words = make("div");
    this.modes = make("div", { className: "modes" });
    this.node = make(
      "div",
      {},
      make(
        "div",
        { className: "top" },
        make("p", { className: "note" }, "Hub motion as set, frequency swept; strokes at the foot: natural modes."),
        this.plot.select,
      ),
      this.plot.node,
      this.words,
      make("h3", {}, "Natural modes on the stage"),
      this.modes,
    );
  }

  show(data, mode) {
    if (!data) return;
    this.data = data;
    this.mode = mode;
    const drives = [...new Set(data.sides.map(({ drive }) => drive))];
    const label = (key) => (drives.length === 1 ? "drive" : `drive ${key}`);
    const marks = data.sides.slice(0, drives.length).map(({ key, drive }) => ({ x: drive, label: label(key) }));
    const ticks = data.sides.flatMap(({ key, modes }) => modes.map((x) => ({ x, side: key.toLowerCase() })));
    this.plot.show((name) => ({
      lines: lines(data.sides, () => data.frequency, (side) => side[name.split(".")[1]]),
      marks,
      ticks,
      words: data.words.join(" "),
    }));
    this.words.replaceChildren(sentences(data.words));
    this.list();
  }

  list() {
    const most = Math.min(...this.data.sides.map(({ modes }) => modes.length));
    const button = (k, text) => {
      const node = make("button", { type: "button" }, text);
      node.setAttribute("aria-pressed", String(k === this.mode));
      node.addEventListener("click", () => this.act.mode(k));
      return node;
    };
    const label = (i) => {
      const [a, b] = this.data.sides.map(({ modes }) => modes[i].toFixed(1));
      return `${i + 1}: A ${a}, B ${b} kHz`;
    };
    const buttons = Array.from({ length: most }, (_, i) => button(i + 1, label(i)));
    this.modes.replaceChildren(button(0, "Driven motion"), ...buttons);
  }
}

export class StrengthSection {
  constructor() {
    this.plot = new Chart("strength");
    this.words = make("div");
    this.source = make("p", { className: "note" });
    this.node = make("div", {}, this.plot.node, this.words, this.source);
  }

  show(data) {
    if (!data) return;
    const [low, value, high] = data.band;
    this.plot.show({
      lines: lines(data.sides, ({ x }) => x, ({ equivalent }) => equivalent),
      bands: [{ low, high, label: "fatigue strength, smooth, with scatter" }],
      levels: [{ y: value }, { y: data.notched, label: "fatigue strength, notched" }],
      words: data.words.join(" "),
    });
    this.words.replaceChildren(sentences(data.words));
    this.source.textContent = data.source;
  }
}

export class BuildUpSection {
  constructor() {
    this.plot = new Chart("build-up");
    this.words = make("div");
    this.node = make("div", {}, this.plot.node, this.words);
  }

  show(data) {
    if (!data) return;
    const ends = [...new Set(data.sides.map(({ on }) => on))];
    this.plot.show({
      lines: lines(data.sides, ({ x }) => x, ({ y }) => y),
      marks: ends.map((x) => ({ x, label: "drive off" })),
      words: data.words.join(" "),
    });
    this.words.replaceChildren(sentences(data.words));
  }
}

export class DelicateSection {
  constructor() {
    this.rows = make("tbody");
    this.words = make("div");
    const heads = ["1 % less / more of", "A's end stroke", "B's end stroke"];
    const head = make("tr", {}, ...heads.map((text) => make("th", { scope: "col" }, text)));
    this.node = make("div", {}, make("table", {}, make("thead", {}, head), this.rows), this.words);
  }

  show(data) {
    if (!data) return;
    const row = ({ what, a, b }) =>
      make("tr", {}, make("th", { scope: "row" }, what), make("td", {}, a), make("td", {}, b));
    this.rows.replaceChildren(...data.rows.map(row));
    const said = [data.a, data.b].filter(Boolean);
    this.words.replaceChildren(
      sentences(said.length ? said : ["Steady: no change of 1 % moves an end stroke by more than 5 %."]),
    );
  }
}
