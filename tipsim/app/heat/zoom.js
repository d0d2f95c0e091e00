// A short stretch with the pulses drawn one by one: how far temperatures swing about their mean.

import { Chart } from "../framework/chart.js";
import { make } from "../framework/make.js";

export class Zoom {
  constructor(ask) {
    this.chart = new Chart("heat.pulses");
    this.button = make("button", { type: "button", click: () => this.ask(ask) }, "Zoom into the pulses at this time");
    this.words = make("p", { className: "note" });
    this.words.setAttribute("role", "status");
    this.node = make(
      "section",
      { className: "card zoom", hidden: true },
      make("div", { className: "top" }, make("h2", {}, "Pulse by pulse"), this.button),
      this.chart.node,
      this.words,
    );
  }

  ask(send) {
    this.words.textContent = "Computing …";
    send();
  }

  take(head) {
    this.node.hidden = !head.sides.some((side) => side.averaged);
    this.chart.node.hidden = true;
    this.words.textContent = "The lines above go by the drive's mean power. Here each pulse is followed.";
  }

  show(found) {
    if (!found?.sides?.length) return;
    const { start, end, sides, on } = found;
    const swings = sides.map(({ key, mean, swing }) => {
      const range = Math.max(...swing) - Math.min(...swing);
      const size = range < 0.095 ? range.toFixed(3) : range.toFixed(2);
      return `${key.toUpperCase()} swings by ${size} °C about ${mean.toFixed(1)} °C`;
    });
    this.words.textContent = `${swings.join("; ")}. In coarser cells than the picture. Shaded: drive on.`;
    this.chart.node.hidden = false;
    this.chart.show({
      lines: Object.fromEntries(sides.map(({ key, time, swing }) => [key, { x: time, y: swing }])),
      shades: on.map(([from, to]) => ({ from, to })),
      x: [start, end],
      words: `${swings.join("; ")}. The drive is on ${on.length} times.`,
    });
  }
}
