// The charts: temperature over time and along the needle, and a stretch pulse by pulse.

import { Chart } from "../../framework/chart.js";
import { make } from "../../framework/make.js";
import { decode } from "../../framework/packet.js";
import { Marks } from "./marks.js";
import { LAYER_WORDS, hottest, middleOf, rowWords } from "./run.js";

const SEVERAL = ["outer", "metal", "annulus", "bore"];
const REDRAW_MS = 80; // between two pictures along the needle while the clock runs
const STANDARD = "contact."; // limits of the standard are named at the left

/** Range of a chart of temperatures: that of the colours, and more where a curve goes beyond. */
function rangeOf({ scale, sides }) {
  const all = sides.flatMap(({ curves }) => Object.values(curves).flatMap(({ y }) => [Math.min(...y), Math.max(...y)]));
  const [low, high] = [Math.min(scale.low, ...all), Math.max(scale.high, ...all)];
  return [
    low < scale.low ? Math.floor(low / 5) * 5 : scale.low,
    high > scale.high ? Math.ceil(high / 10) * 10 : scale.high,
  ];
}

/** Limits as lines across; those of the standard in a quieter colour, named at the left. */
const levelsOf = ({ limits }) =>
  limits.map(({ id, celsius, short }) => {
    const left = id.startsWith(STANDARD);
    return { y: celsius, label: `${celsius} ${short}`, left, colour: left ? "ink-soft" : "bad" };
  });

const said = (sides, words) => sides.map((side) => `${side.key.toUpperCase()}: ${words(side)}.`).join(" ");

export class OverTime {
  constructor({ seek, move }) {
    this.marks = new Marks(move);
    this.chart = new Chart("heat.over_time", { seek, moved: () => this.marks.place(this.chart) });
    this.chart.over.append(this.marks.node);
    this.note = make("p", { className: "note" });
    this.note.textContent = "The drive pulses. These curves go by its mean power; single pulses are not drawn.";
    this.node = make("section", { className: "over-time" }, make("h2", {}, "Over time"), this.chart.node, this.note);
  }

  take(run) {
    const { sides, duration } = run;
    this.marks.take(run);
    this.note.hidden = !sides.some((side) => side.averaged);
    const boiled = sides.filter((side) => side.boiled !== null);
    this.chart.show({
      lines: Object.fromEntries(
        sides.flatMap(({ key, curves }) => Object.entries(curves).map(([name, curve]) => [`${key} ${name}`, curve])),
      ),
      levels: levelsOf(run),
      marks: boiled.map(({ key, boiled: x }) => {
        return { x, label: `${key.toUpperCase()} boils: the model ends`, colour: key };
      }),
      x: [0, duration],
      y: rangeOf(run),
      words: said(sides, ({ words }) => words),
    });
  }
}

export class Along {
  /** @param {(fromEnd: number) => void} probed */
  constructor(probed) {
    this.chart = new Chart("heat.along", { seek: probed });
    this.select = make("select", { id: "along-layer", change: () => this.choose() });
    const layers = [...SEVERAL, "inner", "far"].map((layer) => [layer, LAYER_WORDS[layer]]);
    const options = [...layers, ["all", "several layers, pressed side"]];
    this.select.append(...options.map(([value, words]) => make("option", { value }, words)));
    this.key = make("p", { className: "note" });
    const pick = make("span", { className: "pick" }, make("label", { htmlFor: "along-layer" }, "Layer"), this.select);
    const top = make("div", { className: "top" }, make("h2", {}, "Along the needle, now"), pick);
    this.node = make("section", { className: "along" }, top, this.chart.node, this.key);
    this.shown = 0;
  }

  choose() {
    const all = this.select.value === "all";
    const [solid, other] = all ? ["solid: sleeve", "dashed: metal; dash-dot: fluid in the sleeve; thin: lumen"] :
      ["solid: pressed side", "dashed: other side"];
    this.key.textContent = this.select.value === "bore" ? "" : `${solid}; ${other}`;
    this.draw();
  }

  take(run) {
    this.run = run;
    this.range = rangeOf(run);
    this.choose();
  }

  /** The rows that are drawn of a side, by name of their line. */
  rows(side) {
    const layer = this.select.value;
    if (layer === "all") {
      const rows = side.rows.filter((row) => SEVERAL.includes(row.layer) && row.side !== "other");
      return rows.map((row) => [row.layer, row]);
    }
    const rows = side.rows.filter((row) => row.layer === layer);
    return rows.map((row) => [row.side === "other" ? "other" : "pressed", row]);
  }

  draw() {
    if (!this.run) return;
    const { sides } = this.run;
    const curve = (side, row) => {
      const x = Array.from({ length: row.count }, (_, k) => middleOf(side, row.start + k));
      return { x, y: side.now.slice(row.at, row.at + row.count), label: `${side.key.toUpperCase()}, ${rowWords(row)}` };
    };
    this.chart.show({
      lines: Object.fromEntries(
        sides.flatMap((side) => this.rows(side).map(([name, row]) => [`${side.key} ${name}`, curve(side, row)])),
      ),
      x: [0, Math.max(...sides.map(({ length }) => length))],
      y: this.range,
      words: said(sides, (side) => this.top(side)),
    });
  }

  top(side) {
    const best = hottest(side, this.rows(side).map(([, row]) => row));
    if (!best) return "no such layer";
    return `hottest ${best.celsius.toFixed(1)} °C, ${rowWords(best.row)}, ${best.fromEnd.toFixed(1)} mm from the tip`;
  }

  paint(fromEnd, running) {
    const now = performance.now();
    if (!running || now - this.shown > REDRAW_MS) {
      this.shown = now;
      this.draw();
    }
    this.chart.cursor(fromEnd);
  }
}

export class Zoom {
  /** @param {() => void} ask */
  constructor(ask) {
    this.ask = ask;
    this.chart = new Chart("heat.pulses");
    const words = "Zoom into the pulses at this time";
    this.button = make("button", { type: "button", click: () => this.asked() }, words);
    this.words = make("p", { className: "note" });
    this.words.setAttribute("role", "status");
    const top = make("div", { className: "top" }, make("h2", {}, "Pulse by pulse"), this.button);
    this.node = make("section", { className: "zoom", hidden: true }, top, this.chart.node, this.words);
    this.chart.node.hidden = true;
  }

  asked() {
    this.words.textContent = "Computing the pulses …";
    this.ask();
  }

  take(run) {
    this.node.hidden = !run.sides.some((side) => side.averaged);
    this.chart.node.hidden = true;
    this.words.textContent = "The curves above go by the drive's mean power. Here the pulses themselves are followed.";
  }

  show(packet) {
    if (!packet?.byteLength) return;
    const { start, end, sides, on } = decode(packet);
    const words = said(sides, (side) => side.words);
    this.chart.node.hidden = false;
    this.chart.show({
      lines: Object.fromEntries(sides.map(({ key, time, swing }) => [key, { x: time, y: swing }])),
      shades: on.map(([from, to]) => ({ from, to })),
      x: [start, end],
      words,
    });
    this.words.textContent = `${words} Shaded: drive on. In coarser cells than the picture.`;
  }
}
