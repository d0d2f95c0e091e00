// Ready settings to start from: a chip for each, and what the one that is set means.

import { make } from "./make.js";
import { rove } from "./rove.js";

/** @typedef {{ id: string, title: string, words: string }} Setting */

export class Ready {
  /** @param {string} label of the group @param {(id: string) => void} choose */
  constructor(label, choose) {
    this.choose = choose;
    this.chips = make("div", { className: "chips", role: "toolbar", ariaLabel: label });
    this.words = make("p", { className: "note" });
    this.node = make("div", { className: "ready" }, this.chips, this.words);
    this.fresh = rove(this.chips, "button");
  }

  /**
   * @param {Setting[]} all
   * @param {string} now id of the one that is set
   * @param {(words: string) => string} [phrase] what is said below them, of the words of that one
   */
  show(all, now, phrase = (words) => words || "Your own setting.") {
    if (this.chips.childElementCount !== all.length) {
      const chip = (/** @type {Setting} */ { id, title }) =>
        make("button", { type: "button", className: "chip", value: id, click: () => this.choose(id) }, title);
      this.chips.replaceChildren(...all.map(chip));
      this.fresh();
    }
    for (const chip of this.chips.children) chip.setAttribute("aria-pressed", String(chip.value === now));
    this.words.textContent = phrase(all.find(({ id }) => id === now)?.words ?? "");
  }
}
