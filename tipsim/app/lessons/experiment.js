// The experiment of a step: the bench itself, or another page in a frame.

import { make } from "../shared/make.js";

/** `ran` is called when the learner presses Run. */
export class Experiment {
  constructor(model, ran) {
    this.model = model;
    this.ran = ran;
    const parts = ["stage", "controls", "plots", "readout"].map((name) => [name, model.get_child(name)]);
    Object.assign(this, Object.fromEntries(parts));
    // Panel draws only parts that hang somewhere: they wait here while no step shows them.
    this.shelf = make("div", { hidden: true }, ...parts.map(([, part]) => part));
    this.frames = new Map();
  }

  /** Give the place for it in a step, or null; what is in it, `show` decides. */
  part(step) {
    this.box = step.bench || step.frame ? make("section", { className: "experiment", "aria-label": "Experiment" }) : null;
    this.shown = "";
    return this.box;
  }

  show(step) {
    if (!this.box && step.bench) return;
    if (!this.box) return;
    const wanted = !step.ran ? "locked" : step.frame || "bench";
    if (wanted === this.shown) return;
    this.shown = wanted;
    if (wanted === "locked") this.box.replaceChildren(this.runButton());
    else if (step.frame) this.box.replaceChildren(...this.framed(step));
    else this.box.replaceChildren(...this.bench(step));
  }

  runButton() {
    const press = () => {
      this.pressed = true;
      this.ran();
    };
    return make("button", { type: "button", className: "main run", click: press }, "▶ Run");
  }

  bench(step) {
    const set = make("div", { className: "set" }, this.controls);
    set.hidden = !step.free;
    const numbers = make("details", { className: "more", open: true }, make("summary", {}, "Numbers of both needles"), this.readout);
    const pictures = make("details", { className: "more" }, make("summary", {}, "Strokes along the needle, and of each marker"), this.plots);
    if (this.pressed) this.move();
    this.pressed = false;
    return [make("div", { className: "bench" }, make("div", { className: "stage" }, this.stage), set), numbers, pictures];
  }

  /** Set it going, and go to it by keyboard: that is what Run was pressed for. */
  move() {
    setTimeout(() => {
      const stage = this.stage.shadowRoot?.querySelector(".ts-stage");
      if (!stage) return;
      if (!matchMedia("(prefers-reduced-motion: reduce)").matches) stage.tipsim.play();
      stage.querySelector("canvas[tabindex]")?.focus();
    }, 0);
  }

  framed(step) {
    const { name, href } = step.page;
    const frame = make("iframe", { src: this.frames.get(step.frame) ?? step.frame, title: `${name}, as set for this lesson` });
    frame.addEventListener("load", () => this.fit(frame));
    this.frame = frame;
    this.framedAs = step.frame;
    const words = make("p", { className: "hint" }, "This is the page itself, in a frame. ", make("a", { href, target: "_blank", rel: "noopener" }, "Open it in a tab of its own"));
    if (this.pressed) setTimeout(() => frame.focus(), 0);
    this.pressed = false;
    return [frame, words];
  }

  /** A frame is as high as what is in it, so that only the page scrolls. */
  fit(frame) {
    const inside = frame.contentDocument;
    if (!inside) return;
    const size = () => (frame.style.height = `${Math.ceil(inside.body.scrollHeight) + 4}px`);
    new ResizeObserver(size).observe(inside.body);
    size();
  }

  /** Before a new step: parts go back to their shelf; a frame, which loads anew when moved, is noted. */
  rest() {
    this.shelf.append(this.stage, this.controls, this.plots, this.readout);
    if (!this.frame?.isConnected) return;
    this.frames.set(this.framedAs, this.frame.contentWindow.location.href);
    this.frame = null;
  }

  /** What is set: the server knows the bench; a framed page has it in its address. */
  settings() {
    if (!this.frame?.isConnected) return {};
    return { query: this.frame.contentWindow.location.search };
  }
}
