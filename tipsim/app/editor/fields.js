// Native inputs for the needle's name and single numbers, and the sentence below each.

import { make } from "../framework/make.js";
import { plain } from "./messages.js";

const STEPS = { mm: 0.05, "°": 0.5 };
// Presses that follow each other faster than this (ms) are one step back.
const RUN_PAUSE = 900;
// Runs count down from 0, the picture's gestures up.
let runs = 0;

/** A text input that tells its text when one is done with it, and steps with the arrow keys. */
export class Typed {
  constructor(id, label, { unit = "", send, hint = "" }) {
    this.unit = unit;
    this.send = send;
    this.dirty = false;
    this.input = make("input", {
      type: "text",
      id,
      autocomplete: "off",
      spellcheck: false,
      maxLength: unit ? 40 : 120,
    });
    // Phones have no minus on their decimal keys.
    if (unit) this.input.setAttribute("inputmode", unit === "°" ? "text" : "decimal");
    if (label) this.input.setAttribute("aria-label", label);
    if (hint) this.input.title = hint;
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
    if (!(now - this.pressed < RUN_PAUSE)) runs -= 1;
    this.pressed = now;
    this.commit(runs);
  }

  commit(gesture) {
    this.dirty = false;
    if (this.input.value !== this.shown) this.send(this.input.value, gesture);
    this.shown = this.input.value;
  }

  /** Show what a handle has just made of it, before the server has answered. */
  echo(value) {
    if (!this.dirty) this.input.value = this.shown = value;
  }

  // What is being typed stays; what was refused stays to be mended; and while newer changes are on
  // their way (`keep`), an older answer does not take them back.
  show(value, sentence, keep) {
    if (!this.dirty && !keep) this.input.value = this.shown = value;
    this.wrong.hidden = !sentence;
    if (this.wrong.textContent !== (sentence ?? "")) this.wrong.textContent = sentence ?? "";
    this.input.setAttribute("aria-invalid", String(Boolean(sentence)));
  }
}

const TUBE = [
  ["hub_radius_mm", "Radius at the hub"],
  ["taper_length_mm", "Taper to the shaft over"],
  ["outer_radius_mm", "Shaft, outer radius"],
  ["inner_radius_mm", "Shaft, inner radius"],
  ["bevel_deg", "Bevel of the mouth"],
  ["bypass_diameter_mm", "Bypass hole, across (0: none)"],
  ["bypass_distance_mm", "Bypass hole, from the hub"],
];

/** The single numbers. */
export class Tube {
  constructor(known, set) {
    this.inputs = new Map();
    this.metal = make("p", { className: "metal" });
    this.node = make("section", { className: "tube-fields" }, make("h2", {}, "Hub, shaft and mouth"));
    for (const [name, label] of TUBE) {
      const { unit, low, high } = known.tube[name];
      const hint = `${low} to ${high} ${unit}`;
      const typed = new Typed(`tube-${name}`, "", { unit, hint, send: (value, run) => set(name, value, run) });
      this.inputs.set(name, typed);
      const row = make(
        "div",
        { className: "field" },
        make("label", { htmlFor: typed.input.id }, label),
        make("span", { className: "with-unit" }, typed.input, make("span", { className: "unit" }, unit)),
        typed.wrong,
      );
      this.node.append(row);
    }
    this.node.append(this.metal);
  }

  show(reply, keep) {
    for (const [name, typed] of this.inputs) typed.show(reply.draft.tube[name], reply.errors[name], keep);
    this.metal.textContent = `Metal: ${reply.draft.metal}`;
  }
}
