// What lies over a needle whose motion the model cannot be believed for: grey, and a sentence.

import { make } from "../make.js";

export class Held {
  constructor() {
    this.nodes = ["a", "b", "c", "d"].map(() => make("div", { class: "held", hidden: true }));
  }

  /** @param {any[]} sides of the packet; `held` is the sentence, or "" */
  show(sides) {
    this.nodes.forEach((node, i) => {
      const words = sides[i]?.held ?? "";
      node.replaceChildren(make("p", {}, words));
      node.hidden = !words;
    });
  }

  place({ lanes }) {
    lanes.forEach(({ x, y, w, h }, i) => {
      const style = this.nodes[i].style;
      style.transform = `translate(${Math.round(x)}px, ${Math.round(y)}px)`;
      style.width = `${Math.round(w)}px`;
      style.height = `${Math.round(h)}px`;
    });
  }
}
