// Ready settings to start from: chips, perhaps a list of more, and what the one that is set means.

import { make } from "./make.js";
import { rove } from "./rove.js";

/** @typedef {{ id: string, title: string, words: string }} Setting */

export class Ready {
  /**
   * @param {string} label of the group
   * @param {(id: string) => void} choose
   * @param {string[]} [first] ids of those that are chips; the others stand in a list
   */
  constructor(label, choose, first) {
    this.choose = choose;
    this.first = first;
    this.chips = make("div", { className: "chips", role: "toolbar", ariaLabel: label });
    this.words = make("p", { className: "note" });
    this.more = make("select", { id: "example", change: () => this.choose(this.more.value) });
    const pick = make("div", { className: "pick" }, make("label", { htmlFor: "example" }, "More"), this.more);
    const row = first ? make("div", { className: "examples" }, this.chips, pick) : this.chips;
    this.node = make("div", { className: "ready" }, row, this.words);
    this.fresh = rove(this.chips, "button");
  }

  /**
   * @param {Setting[]} all
   * @param {string} now id of the one that is set
   * @param {(words: string) => string} [phrase] what is said below them, of the words of that one
   */
  show(all, now, phrase = (words) => words || "Your own setting.") {
    const isFirst = (/** @type {Setting} */ { id }) => this.first?.includes(id) ?? true;
    const open = all.filter(isFirst);
    if (this.chips.childElementCount !== open.length) {
      const chip = (/** @type {Setting} */ { id, title }) =>
        make("button", { type: "button", className: "chip", value: id, click: () => this.choose(id) }, title);
      this.chips.replaceChildren(...open.map(chip));
      this.fresh();
    }
    for (const chip of this.chips.children) chip.setAttribute("aria-pressed", String(chip.value === now));
    const rest = all.filter((one) => !isFirst(one));
    if (this.more.options.length !== rest.length + 1) {
      const option = (/** @type {Setting} */ { id, title }) => make("option", { value: id }, title);
      const none = make("option", { value: "", disabled: true }, "other examples");
      this.more.replaceChildren(none, ...rest.map(option));
    }
    this.more.value = rest.some(({ id }) => id === now) ? now : "";
    this.words.textContent = phrase(all.find(({ id }) => id === now)?.words ?? "");
  }
}
