// The sections behind the motion: each takes its data and paints it.

import { CurvePlot } from "./curve.js";
import { make } from "../framework/make.js";
import { micro, short } from "../plots/numbers.js";

const QUANTITIES = {
  end: ["End stroke, µm peak to peak", (v) => `${micro(v)} µm`],
  shaft: ["Shaft, sideways, µm rms", (v) => `${micro(v)} µm`],
  torque: ["Hub torque, N mm amplitude", (v) => `${short(v)} N mm`],
  force: ["Hub force, N amplitude", (v) => `${short(v)} N`],
  power: ["Power in, W", (v) => `${short(v)} W`],
};

const sentences = (words) => make("ul", { className: "said" }, ...words.map((text) => make("li", {}, text)));

export class ResonanceSection {
  constructor(act) {
    this.act = act;
    this.quantity = "end";
    this.select = make("select", { ariaLabel: "What is drawn over frequency" });
    for (const [value, [label]] of Object.entries(QUANTITIES)) this.select.append(make("option", { value }, label));
    this.select.addEventListener("change", () => {
      this.quantity = this.select.value;
      this.show(this.data, this.mode);
    });
    this.plot = new CurvePlot({
      id: "resonance",
      xLabel: "frequency, kHz",
      yLabel: "",
      log: true,
      say: (v) => QUANTITIES[this.quantity][1](v),
      place: (x) => `${x.toFixed(1)} kHz`,
    });
    this.words = make("div");
    this.modes = make("div", { className: "modes" });
    this.node = make(
      "div",
      {},
      make(
        "div",
        { className: "top" },
        make("p", { className: "note" }, "Hub motion as set, frequency swept; short ticks: natural modes."),
        this.select,
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
    this.plot.shape.yLabel = QUANTITIES[this.quantity][0];
    const drives = [...new Set(data.sides.map(({ drive }) => drive))];
    const one = drives.length === 1;
    this.plot.show({
      series: data.sides.map((side) => ({ name: side.key.toLowerCase(), x: data.frequency, y: side[this.quantity] })),
      marks: [
        ...data.sides
          .slice(0, one ? 1 : 2)
          .map(({ key, drive }) => ({ x: drive, label: one ? "drive" : `drive ${key}` })),
        ...data.sides.flatMap(({ key, modes }) => modes.map((x) => ({ x, name: key.toLowerCase(), short: true }))),
      ],
      words: data.words.join(" "),
    });
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

  paint() {
    this.plot.paint();
  }
}

export class StrengthSection {
  constructor() {
    this.plot = new CurvePlot({
      id: "strength",
      xLabel: "distance from the end, mm",
      yLabel: "peak stress at the surface, MPa",
      reverse: true,
      say: (v) => `${v.toFixed(0)} MPa`,
      place: (x) => `${x.toFixed(1)} mm from the end`,
    });
    this.words = make("div");
    this.source = make("p", { className: "note" });
    this.node = make("div", {}, this.plot.node, this.words, this.source);
  }

  show(data) {
    if (!data) return;
    const [low, value, high] = data.band;
    this.plot.show({
      series: data.sides.map(({ key, x, equivalent }) => ({ name: key.toLowerCase(), x, y: equivalent })),
      bands: [{ low, high, label: "fatigue strength, smooth, with scatter" }],
      levels: [{ y: value }, { y: data.notched, label: "fatigue strength, notched" }],
      words: data.words.join(" "),
    });
    this.words.replaceChildren(sentences(data.words));
    this.source.textContent = data.source;
  }

  paint() {
    this.plot.paint();
  }
}

export class BuildUpSection {
  constructor() {
    this.plot = new CurvePlot({
      id: "buildup",
      xLabel: "time, ms",
      yLabel: "end stroke, µm peak to peak",
      say: (v) => `${micro(v)} µm`,
      place: (x) => `${x.toFixed(2)} ms`,
    });
    this.words = make("div");
    this.node = make("div", {}, this.plot.node, this.words);
  }

  show(data) {
    if (!data) return;
    const ends = [...new Set(data.sides.map(({ on }) => on))];
    this.plot.show({
      series: data.sides.map(({ key, x, y }) => ({ name: key.toLowerCase(), x, y })),
      marks: ends.map((x) => ({ x, label: "drive off" })),
      words: data.words.join(" "),
    });
    this.words.replaceChildren(sentences(data.words));
  }

  paint() {
    this.plot.paint();
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

  paint() {}
}
