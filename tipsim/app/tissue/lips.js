// The sleeve in its wound, seen along the needle, to scale: lips that hug it or leave it loose.

import { draw, make } from "../framework/make.js";
import { sideLetter } from "./rows.js";

const VIEW = { width: 300, height: 150 };
const PX = 38; // per mm

/** Half height of a lens-shaped opening of a half width, whose edge is as long as the slit's two lips. */
const halfHeight = (half, lip) => Math.sqrt(Math.max(0, lip * lip - half * half)) * 0.7;

export class Lips {
  constructor(key) {
    this.title = make("figcaption", {});
    this.svg = draw("svg", { viewBox: `0 0 ${VIEW.width} ${VIEW.height}`, role: "img", class: "lips" });
    this.words = make("p", {});
    this.key = key;
    this.node = make("figure", {}, this.title, this.svg, this.words);
  }

  show(side) {
    this.title.replaceChildren(sideLetter(this.key), `${side.title}: ${side.fit}`);
    this.words.textContent = side.words;
    const [x, y] = [VIEW.width / 2, VIEW.height / 2 + 4];
    const radius = side.radius * PX;
    const loose = side.fit === "loose";
    // Lips of the wound's width each: what the sleeve needs of them makes them close up beside it.
    const reach = loose ? (side.width * PX) / 2.1 : Math.max(radius + 3, (side.width * PX) / 2);
    const rise = loose ? Math.max(radius, halfHeight(reach, (side.width * PX) / 2) + radius) : radius;
    const lens = `M${x - reach} ${y}Q${x} ${y - 2 * rise} ${x + reach} ${y}Q${x} ${y + 2 * rise} ${x - reach} ${y}Z`;
    const hug = `M${x - reach - 14} ${y}Q${x - radius} ${y} ${x - radius * 0.87} ${y - radius * 0.5}A${radius} ` +
      `${radius} 0 0 1 ${x + radius * 0.87} ${y - radius * 0.5}Q${x + radius} ${y} ${x + reach + 14} ` +
      `${y}Q${x + radius} ${y} ${x + radius * 0.87} ${y + radius * 0.5}A${radius} ${radius} 0 0 1 ` +
      `${x - radius * 0.87} ${y + radius * 0.5}Q${x - radius} ${y} ${x - reach - 14} ${y}Z`;
    const width = side.width * PX;
    const label = draw("text", { x: VIEW.width / 2, y: VIEW.height - 6, class: "mid" });
    label.textContent = `wound ${side.width.toFixed(1)} mm wide when closed`;
    this.svg.replaceChildren(
      draw("rect", { x: 0, y: 0, width: VIEW.width, height: VIEW.height, class: "cornea" }),
      draw("path", { d: loose ? lens : hug, class: loose ? "opening" : "opening tight" }),
      draw("circle", { cx: x, cy: y, r: radius, class: "sleeve" }),
      draw("circle", { cx: x, cy: y, r: side.bore * PX, class: "inside" }),
      draw("path", { d: `M${x - width / 2} ${VIEW.height - 24}v5h${width}v-5`, class: "ruler" }),
      label,
    );
    this.svg.setAttribute(
      "aria-label",
      `Sleeve ${(2 * side.radius).toFixed(2)} mm across in a wound ${side.width.toFixed(1)} mm wide: ${side.fit}.`,
    );
  }
}
