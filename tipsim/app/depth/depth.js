// Sections that open below the still pictures. What is open is asked for, a moment after the
// last change.

import { BuildUpSection, DelicateSection, ResonanceSection, StrengthSection } from "./sections.js";
import { make } from "../framework/make.js";

const QUIET_MS = 220;
/** @type {Record<string, [string, any]>} */
const TITLES = {
  delicate: ["How delicate it is", DelicateSection],
  resonance: ["Resonance and natural modes", ResonanceSection],
  strength: ["Strength", StrengthSection],
  buildup: ["Build-up of a pulse", BuildUpSection],
};

class Sections {
  constructor(model) {
    this.model = model;
    const act = { mode: (k) => model.send_msg({ mode: k }) };
    this.parts = new Map();
    for (const [name, [title, Kind]] of Object.entries(TITLES)) {
      const part = new Kind(act);
      const wait = make("p", { className: "note" }, "Computing …");
      const box = make("details", { id: `depth-${name}` }, make("summary", {}, title), wait, part.node);
      part.node.hidden = true;
      box.addEventListener("toggle", () => this.toggled(name, box.open));
      this.parts.set(name, { part, box, wait, stamp: -1 });
    }
    this.node = make("div", { className: "depth" }, ...[...this.parts.values()].map(({ box }) => box));
  }

  toggled(name, open) {
    if (open) this.ask(0);
  }

  // How delicate the strokes are is said beside the numbers too, so it is always wanted.
  ask(wait = QUIET_MS) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      const stale = [...this.parts].filter(
        ([name, { box, stamp }]) => (box.open || name === "delicate") && stamp !== this.model.stamp,
      );
      if (stale.length) this.model.send_msg({ want: stale.map(([name]) => name), stamp: this.model.stamp });
    }, wait);
  }

  came() {
    const { stamp, sections = {}, trouble = {} } = this.model.content;
    for (const [name, data] of Object.entries(sections)) {
      const each = this.parts.get(name);
      each.stamp = stamp;
      each.data = data;
      each.wait.hidden = true;
      each.part.node.hidden = false;
      each.part.show(data, this.model.mode);
    }
    for (const [name, sentence] of Object.entries(trouble)) {
      const each = this.parts.get(name);
      each.stamp = stamp;
      each.wait.textContent = sentence;
      each.wait.hidden = false;
      each.part.node.hidden = true;
    }
  }

  moded() {
    const { part, data } = this.parts.get("resonance");
    part.show(data, this.model.mode);
  }
}

export function render({ model }) {
  const sections = new Sections(model);
  model.on("stamp", () => sections.ask());
  model.on("content", () => sections.came());
  model.on("mode", () => sections.moded());
  sections.ask();
  return sections.node;
}
