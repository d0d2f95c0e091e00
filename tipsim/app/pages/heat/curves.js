// The charts: temperature over time and along the needle, and a stretch pulse by pulse.

import { Chart } from "../../framework/chart.js";
import { make } from "../../framework/make.js";
import { decode } from "../../framework/packet.js";
import { Marks } from "./marks.js";
import { LAYER_WORDS, hottest, middleOf, rowWords } from "./run.js";

/** @typedef {Record<string, import("../../framework/chart_data.js").Curve>} Lines */

const CURVES = { sleeve: "sleeve", metal: "metal", wound: "tissue", chamber: "chamber" };
// Drawn together, and their words at the curves' ends.
const SEVERAL = { outer: "sleeve", metal: "metal", annulus: "fluid", bore: "lumen" };
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

/** The limits as lines across; that of collagen is one stretch with one line of words. */
function levelsOf({ limits }) {
  const from = limits.find(({ id }) => id === "limit.collagen_from").celsius;
  return limits.map(({ id, celsius, short }) => {
    const words = { "limit.collagen_from": "", "limit.collagen_to": `${from} to ${celsius} collagen shrinks` };
    const label = words[id] ?? `${celsius} ${short}`;
    if (!id.startsWith(STANDARD)) return { y: celsius, label, colour: "bad", dash: "dashed" };
    return { y: celsius, label, left: true, colour: "line-strong", dash: "dotted", minor: true };
  });
}

const said = (sides, words) => sides.map((side) => `${side.key.toUpperCase()}: ${words(side)}.`).join(" ");

export class OverTime {
  constructor({ seek, move }) {
    this.marks = new Marks(move);
    this.chart = new Chart("heat.time", { seek, moved: () => this.marks.place(this.chart) });
    this.chart.over.append(this.marks.node);
    this.note = make("p", { className: "note" });
    this.note.textContent = "The drive pulses. These curves go by its mean power; single pulses are not drawn.";
    this.node = make("section", { className: "over-time" }, make("h2", {}, "Over time"), this.chart.node, this.note);
  }

  take(run) {
    const { sides, duration } = run;
    this.marks.take(run);
    this.note.hidden = !sides.some((side) => side.averaged);
    /** @type {Lines} */
    const lines = {};
    for (const { key, curves } of sides) {
      for (const [name, curve] of Object.entries(curves)) {
        lines[`${key}_${name}`] = { ...curve, short: `${key.toUpperCase()} ${CURVES[name]}` };
      }
    }
    const boiled = sides.filter((side) => side.boiled !== null);
    const held = sides.filter((side) => side.held).map((side) => `${side.key.toUpperCase()}: ${side.held}`);
    this.chart.show({
      lines,
      levels: levelsOf(run),
      marks: boiled.map(({ key, boiled: x }) => {
        return { x, label: `${key.toUpperCase()} boils: rough from here`, colour: key, dash: "dotted", foot: true };
      }),
      x: [0, duration],
      y: rangeOf(run),
      words: [...held, said(boiled, ({ boiled: x }) => `the fluid boils after ${x.toFixed(1)} s, rough from there`)]
        .join(" ")
        .trim(),
    });
  }
}

export class Along {
  /** @param {(fromEnd: number) => void} probed */
  constructor(probed) {
    this.chart = new Chart("heat.along", { seek: probed });
    this.select = make("select", { id: "along-layer", change: () => this.draw(true) });
    const layers = [...Object.keys(SEVERAL), "inner", "near", "far"].map((layer) => [layer, LAYER_WORDS[layer]]);
    const options = [...layers, ["all", "several layers, pressed side"]];
    this.select.append(...options.map(([value, words]) => make("option", { value }, words)));
    const pick = make("span", { className: "pick" }, make("label", { htmlFor: "along-layer" }, "Layer"), this.select);
    const top = make("div", { className: "top" }, make("h2", {}, "Along the needle, now"), pick);
    this.node = make("section", { className: "along" }, top, this.chart.node);
  }

  take(run) {
    this.run = run;
    this.range = rangeOf(run);
    this.draw(true);
  }

  /** The rows that are drawn of a side. */
  rows(side) {
    const layer = this.select.value;
    if (layer !== "all") return side.rows.filter((row) => row.layer === layer);
    return side.rows.filter((row) => row.layer in SEVERAL && row.side !== "other");
  }

  /** @param {boolean} still with text and table, which would only disturb while the clock runs */
  draw(still) {
    if (!this.run) return;
    const { sides } = this.run;
    const all = this.select.value === "all";
    /** @type {Lines} */
    const lines = {};
    for (const side of sides) {
      const letter = side.key.toUpperCase();
      for (const row of this.rows(side)) {
        const part = all ? row.layer : row.side === "other" ? "other" : "pressed";
        lines[`${side.key}_${part}`] = {
          x: Array.from({ length: row.count }, (_, k) => middleOf(side, row.start + k)),
          y: side.now.slice(row.at, row.at + row.count),
          label: `${letter}, ${rowWords(row)}`,
          short: `${letter} ${all ? SEVERAL[row.layer] : part === "other" ? "other" : ""}`.trim(),
        };
      }
    }
    const x = /** @type {[number, number]} */ ([0, Math.max(...sides.map(({ length }) => length))]);
    const data = { lines, x, y: this.range };
    if (still) this.chart.show({ ...data, words: said(sides, (side) => this.top(side)) });
    else this.chart.animate(data);
  }

  top(side) {
    const best = hottest(side, this.rows(side));
    if (!best) return "no such layer";
    return `hottest ${best.celsius.toFixed(1)} °C, ${rowWords(best.row)}, ${best.fromEnd.toFixed(1)} mm from the tip`;
  }

  paint(fromEnd, still) {
    this.draw(still);
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
    const { start, end, sides, on, held } = decode(packet);
    this.chart.node.hidden = !sides.length;
    if (!sides.length) {
      this.words.textContent = held.join(" ");
      return;
    }
    const words = [...held, said(sides, (side) => side.words), `The drive is on ${on.length} times.`].join(" ");
    this.chart.show({
      lines: Object.fromEntries(sides.map(({ key, time, swing }) => [key, { x: time, y: swing }])),
      shades: on.map(([from, to]) => ({ from, to })),
      x: [start, end],
      words,
    });
    this.words.textContent = `${words} Shaded: drive on. In coarser cells than the picture.`;
  }
}
