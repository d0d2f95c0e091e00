// The titles over the needles: what each is, and what its tip does.

import { make } from "../make.js";

export class Titles {
  constructor() {
    this.nodes = ["a", "b", "c", "d"].map((side) => make("div", { class: `title ${side}` }));
  }

  /**
   * @param {any[]} sides of the packet; their frequencies are told where they differ
   * @param {boolean} [rigid] whether to say what the tip would do if the needle were rigid
   */
  show(sides, rigid) {
    const same = sides.every(({ frequency_hz }) => frequency_hz === sides[0].frequency_hz);
    const shapes = sides.map(({ title }) => title.split(",")[0]);
    for (const [i, node] of this.nodes.entries()) if (i >= sides.length) node.replaceChildren();
    sides.forEach(({ key, title, said, rigid_said, frequency_hz }, i) => {
      const motion = rigid && rigid_said ? `${said}; ${rigid_said}` : said;
      const words = same ? motion : `${motion}, ${Number((frequency_hz / 1000).toFixed(2))} kHz`;
      // Its size only where the shape alone does not tell which one it is.
      const name = new Set(shapes).size === shapes.length ? shapes[i] : title;
      // What no page says itself is said in any case.
      const always = rigid || !same || said.includes("mode");
      this.nodes[i].replaceChildren(
        make("span", { class: `letter ${key.toLowerCase()}` }, key),
        make(
          "span",
          { class: "what" },
          make("strong", {}, name),
          " ",
          make("span", { class: always ? "" : "said" }, words),
        ),
      );
    });
  }

  /** Return the height that they need where each may be so wide. @param {number} width px */
  height(width) {
    for (const node of this.nodes) node.style.maxWidth = `${Math.round(width) - 12}px`;
    return Math.max(...this.nodes.map((node) => node.offsetHeight)) + 2;
  }

  place({ lanes }) {
    lanes.forEach((lane, i) => {
      this.nodes[i].style.transform = `translate(${Math.round(lane.x)}px, ${Math.round(lane.y)}px)`;
      this.nodes[i].style.maxWidth = `${Math.round(lane.w) - 12}px`;
    });
  }
}
