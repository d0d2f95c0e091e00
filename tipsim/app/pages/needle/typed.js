// A native input for a number, which hands its text over when one is done with it.

import { make } from "../../framework/make.js";

const STEPS = { mm: 0.05, "°": 0.5 };
// Presses that follow each other faster than this (ms) are one step back.
const RUN_PAUSE = 900;
let runs = 0;

/** A number as one types it: no more digits than it needs. */
export const plain = (value) => String(Number(value.toFixed(6)));

/** A text input that steps with the arrow keys; `send` takes the text and the run of presses. */
export class Typed {
  constructor(id, label, { unit, send, hint }) {
    this.unit = unit;
    this.send = send;
    this.dirty = false;
    this.input = make("input", { type: "text", id, autocomplete: "off", spellcheck: false, title: hint });
    this.input.maxLength = 40;
    // Phones have no minus on their decimal keys.
    this.input.setAttribute("inputmode", unit === "°" ? "text" : "decimal");
    this.input.setAttribute("aria-label", label);
    this.wrong = make("p", { className: "wrong", id: `wrong-${id}`, hidden: true });
    this.wrong.setAttribute("role", "alert");
    this.input.setAttribute("aria-describedby", this.wrong.id);
    this.input.addEventListener("input", () => (this.dirty = true));
    this.input.addEventListener("change", () => this.commit());
    // Typed over and put back as it was: no change, but no longer being typed.
    this.input.addEventListener("blur", () => this.commit());
    this.input.addEventListener("keydown", (event) => this.key(event));
  }

  key(event) {
    if (event.key === "Enter") this.commit();
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    const step = STEPS[this.unit];
    const text = this.input.value.trim() || this.input.placeholder;
    if (!way || !step || event.altKey || text === "" || !Number.isFinite(Number(text))) return;
    event.preventDefault();
    const times = event.shiftKey ? 10 : 1;
    this.input.value = plain((Math.round(Number(text) / step) + way * times) * step);
    const now = performance.now();
    if (!(now - this.pressed < RUN_PAUSE)) runs += 1;
    this.pressed = now;
    this.commit(`keys ${runs}`);
  }

  commit(gesture = null) {
    this.dirty = false;
    if (this.input.value !== this.shown) this.send(this.input.value, gesture);
    this.shown = this.input.value;
  }

  /** Show what a handle has just made of it, before the server has answered. */
  echo(value) {
    if (!this.dirty) this.input.value = this.shown = value;
  }

  // What is being typed stays; what was refused stays to be fixed; and while newer changes are on
  // their way (`keep`), an older answer does not take them back.
  show(value, sentence, keep) {
    if (!this.dirty && !keep) this.input.value = this.shown = value;
    tell(this.wrong, sentence);
    this.input.setAttribute("aria-invalid", String(Boolean(sentence)));
  }
}

/** Put a sentence where it is said, once; or take it away. */
export function tell(node, sentence) {
  node.hidden = !sentence;
  if (node.textContent !== (sentence ?? "")) node.textContent = sentence ?? "";
}
