// A short stretch with the pulses drawn one by one: how far temperatures swing about their mean.

import { draw, make } from "../framework/make.js";
import { Plane, PLOT } from "./plane.js";

const ZOOM_HEIGHT = 190;

export class Zoom {
  constructor(ask) {
    this.svg = draw("svg", { role: "img", class: "plot" });
    this.button = make("button", { type: "button", click: () => this.ask(ask) }, "Zoom into the pulses at this time");
    this.words = make("p", { className: "note" });
    this.words.setAttribute("role", "status");
    this.node = make(
      "section",
      { className: "card zoom", hidden: true },
      make("div", { className: "top" }, make("h2", {}, "Pulse by pulse"), this.button),
      this.svg,
      this.words,
    );
  }

  ask(send) {
    this.words.textContent = "Being worked out …";
    send();
  }

  take(head, width) {
    this.width = width;
    this.node.hidden = !head.sides.some((side) => side.averaged);
    this.clear();
  }

  clear() {
    this.svg.replaceChildren();
    this.svg.setAttribute("viewBox", `0 0 ${this.width} 1`);
    this.svg.removeAttribute("aria-label");
    this.words.textContent = "The lines above go by the drive's mean power. Here the pulses themselves are followed.";
  }

  show(found) {
    if (!found?.sides?.length || !this.width) return;
    const { start, end, sides, on } = found;
    const swings = sides.flatMap((side) => side.swing);
    const reach = Math.max(0.02, ...swings.map(Math.abs)) * 1.15;
    const plane = new Plane(this.width, ZOOM_HEIGHT, [start, end], [-reach, reach]);
    const bands = on.map(([a, b]) =>
      draw("rect", {
        x: plane.x(a),
        width: Math.max(0.5, plane.x(b) - plane.x(a)),
        y: PLOT.top,
        height: ZOOM_HEIGHT - PLOT.bottom - PLOT.top,
        class: "on",
      }),
    );
    const lines = sides.map((side) => plane.line(side.time, side.swing, `line ${side.key}`));
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${ZOOM_HEIGHT}`);
    this.svg.replaceChildren(
      ...bands,
      ...plane.frame("time, s (shaded: drive on)", "hottest place outside, °C from its mean"),
      ...lines,
    );
    const told = sides.map(({ key, mean, swing }) => {
      const range = Math.max(...swing) - Math.min(...swing);
      return `${key.toUpperCase()} swings by ${range < 0.095 ? range.toFixed(3) : range.toFixed(2)} °C about ` +
        `${mean.toFixed(1)} °C`;
    });
    this.words.textContent = `${told.join("; ")}. In coarser cells than the picture.`;
    this.svg.setAttribute(
      "aria-label",
      `Pulse by pulse from ${start.toFixed(2)} to ${end.toFixed(2)} seconds. ${told.join("; ")}.`,
    );
  }
}
