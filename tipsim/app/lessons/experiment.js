// The experiment of a step: the bench itself, or another page in a frame.

import { make } from "../framework/make.js";

const LONGEST_WAIT = 200;

const pause = (ms) => new Promise((go) => setTimeout(go, ms));

/** Whether a form in a page, or in a part of it, waits for its server. */
function busy(root) {
  if (root.querySelector("form[aria-busy='true']")) return true;
  return [...root.querySelectorAll("*")].some(({ shadowRoot }) => shadowRoot && busy(shadowRoot));
}

/** `ran` is called when the learner presses Run. */
export class Experiment {
  constructor(model, ran) {
    this.model = model;
    this.ran = ran;
    this.stage = model.get_child("stage");
    this.controls = model.get_child("controls");
    this.plots = model.get_child("plots");
    this.readout = model.get_child("readout");
    // Panel draws only parts that hang somewhere: they wait here while no step shows them.
    this.shelf = make("div", { hidden: true }, this.stage, this.controls, this.plots, this.readout);
    this.frames = new Map();
  }

  /** Give the place for it in a step; what is in it, if anything, `show` decides. */
  part() {
    this.box = make("section", { className: "experiment", "aria-label": "Experiment", hidden: true });
    this.shown = "";
    return this.box;
  }

  show(step) {
    const any = step.bench || step.frame;
    const wanted = !any ? "" : !step.ran ? "locked" : step.frame || "bench";
    if (wanted === this.shown) return;
    this.shown = wanted;
    this.box.hidden = !any;
    if (!any) this.box.replaceChildren();
    else if (wanted === "locked") this.box.replaceChildren(this.runButton());
    else if (step.frame && step.kind === "observe") this.box.replaceChildren(this.folded(step));
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
    const numbers = make(
      "details",
      { className: "more", open: step.kind === "run" },
      make("summary", {}, "Numbers of both needles"),
      this.readout,
    );
    const pictures = make(
      "details",
      { className: "more" },
      make("summary", {}, "Strokes along the needle, and of each marker"),
      this.plots,
    );
    if (this.pressed) this.move();
    this.pressed = false;
    return [
      make("div", { className: "bench" }, make("div", { className: "stage" }, this.stage), set),
      numbers,
      pictures,
    ];
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

  /** While one says what was seen, the long page stays folded until it is asked for. */
  folded(step) {
    const box = make("details", { className: "more" }, make("summary", {}, "Look at the experiment again"));
    const unfold = () => box.append(...this.framed(step));
    box.addEventListener("toggle", unfold, { once: true });
    return box;
  }

  framed(step) {
    const { name, href } = step.page;
    const frame = make("iframe", {
      src: this.frames.get(step.frame) ?? step.frame,
      title: `${name}, as set for this lesson`,
    });
    frame.addEventListener("load", () => this.fit(frame));
    this.frame = frame;
    this.framedAs = step.frame;
    const words = make(
      "p",
      { className: "hint" },
      "This is the page itself, in a frame. ",
      make("a", { href, target: "_blank", rel: "noopener" }, "Open it in a tab of its own"),
    );
    if (this.pressed) setTimeout(() => frame.focus(), 0);
    this.pressed = false;
    return [frame, words];
  }

  /** A frame is as high as what is in it, so that only the page scrolls. */
  fit(frame) {
    const inside = frame.contentDocument;
    if (!inside) return;
    const size = () => (frame.style.height = `${Math.ceil(inside.body.getBoundingClientRect().height) + 2}px`);
    new ResizeObserver(size).observe(inside.body);
    size();
  }

  /** Before a new step: parts go back to their shelf, and where a frame has got to is noted. */
  rest() {
    if (this.frame?.isConnected) this.frames.set(this.framedAs, this.frame.contentWindow.location.href);
    this.shelf.append(this.stage, this.controls, this.plots, this.readout);
    this.frame = null;
  }

  /** What is set: the server knows the bench; a framed page has it in its address, a moment later. */
  async settings() {
    const inside = this.frame?.isConnected ? this.frame.contentWindow : null;
    const form = inside ? inside.document : this.controls.shadowRoot;
    for (let tries = 0; tries < LONGEST_WAIT && busy(form); tries++) await pause(50);
    if (!inside) return {};
    // As when it is left: what still waits to be written into the address is written now.
    inside.dispatchEvent(new Event("pagehide"));
    return { query: inside.location.search };
  }
}
