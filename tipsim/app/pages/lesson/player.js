// A lesson's page: the server writes its steps; this puts widgets, bench and frames into them.

import { fill, listen } from "../../framework/article.js";
import { greet } from "../../framework/learner.js";
import { make } from "../../framework/make.js";
import { Experiment } from "./experiment.js";
import { widget } from "./widgets/kinds.js";

class Player {
  constructor(model) {
    this.model = model;
    this.page = make("div", { className: "player" });
    this.status = make("p", { className: "sr", role: "status" });
    this.experiment = new Experiment(model, this.page);
    this.root = make("div", {}, this.status, this.page, this.experiment.shelf);
    /** @type {WeakMap<Element, {key: string, widget: any}>} */
    this.widgets = new WeakMap();
    listen(this.page, model);
    this.page.addEventListener("click", (event) => this.pressed(event));
    this.page.addEventListener("keydown", (event) => {
      const typed = event.key === "Enter" && event.target.matches(".answer input[type='text']");
      if (typed) this.submit(event.target.closest(".question"));
    });
    window.addEventListener("popstate", () => this.byAddress());
    greet((code) => this.send("hello", code), () => Boolean(model.content.html));
    this.show();
  }

  send(field, value) {
    this.model.send_msg({ changes: [{ field, value }] });
  }

  say(words) {
    this.status.textContent = words;
  }

  show() {
    const { html, visit, step } = this.model.content;
    if (!html) return;
    const first = this.visit === undefined;
    const fresh = visit !== this.visit;
    this.visit = visit;
    if (fresh) this.experiment.rest();
    const before = this.keys();
    fill(this.page, html);
    this.fill();
    this.experiment.fill();
    if (fresh && step) this.enter(step, first);
    else if (!fresh) this.toWhatChanged(before);
  }

  /** What each question looks like, by item. */
  keys() {
    const slots = [...this.page.querySelectorAll(".question > .answer")];
    return new Map(slots.map(({ dataset }) => [dataset.widget, dataset.key]));
  }

  /** Put a widget wherever one belongs, and a new one where a question has changed. */
  fill() {
    for (const slot of this.page.querySelectorAll(".answer")) {
      const { widget: item, key } = slot.dataset;
      if (this.widgets.get(slot)?.key === key) continue;
      const data = this.model.content.widgets[item];
      const made = widget(data, (words) => this.say(words), () => this.experiment.settings());
      if (data.given !== null) made.show(data.given);
      if (data.state !== "open") made.lock(data.revealed);
      this.widgets.set(slot, { key, widget: made });
      slot.replaceChildren(made.node);
    }
  }

  /** A new step: say where one is, and go there. */
  enter(step, first) {
    this.say(this.page.querySelector(".kind").textContent);
    const url = `#${step}`;
    if (window.location.hash !== url) window.history[first ? "replaceState" : "pushState"](null, "", url);
    if (first) return;
    this.page.querySelector(".step > h2").focus({ preventScroll: true });
    this.root.scrollIntoView({ block: "start" });
  }

  /** After an answer: to what it tells. */
  toWhatChanged(before) {
    for (const [item, key] of this.keys()) {
      if (!before.has(item) || before.get(item) === key) continue;
      const question = this.page.querySelector(`#${CSS.escape(`q-${item}`)}`);
      (question.querySelector(".verdict") ?? question).focus();
    }
  }

  // ---- what is pressed ----

  pressed(event) {
    const { target } = event;
    const button = target.closest("button");
    if (button?.matches(".question > .actions > .main")) this.submit(button.closest(".question"));
    else if (button?.ariaDisabled === "true") this.blocked();
    else if (button?.matches(".term")) {
      const closed = button.nextElementSibling.toggleAttribute("hidden");
      button.setAttribute("aria-expanded", String(!closed));
    } else if (target.matches("a.source")) {
      // The page's own address of a step must stay: the list of sources is gone to by hand.
      event.preventDefault();
      const source = this.page.querySelector(target.hash);
      source?.scrollIntoView({ block: "center" });
      source?.focus({ preventScroll: true });
    }
  }

  async submit(question) {
    const { widget: made } = this.widgets.get(question.querySelector(".answer"));
    const given = await made.answer();
    const unsure = question.querySelector(".sure");
    const confidence = unsure?.querySelector("input:checked")?.value ?? null;
    const missing = given === null ? made.empty : unsure && !confidence ? "Choose how sure you are as well." : "";
    if (!missing) return this.send("answer", { item: question.dataset.item, given, confidence });
    const wrong = question.querySelector(".wrong");
    wrong.textContent = missing;
    wrong.hidden = false;
  }

  /** The next step is locked: say why, and go to the question that is open. */
  blocked() {
    this.say("");
    setTimeout(() => this.say(this.page.querySelector(".why-not").textContent), 30);
    const open = ".question.open :is(input, select, button, [tabindex='0'])";
    this.page.querySelector(open)?.focus();
  }

  /** The browser's own back and forward. */
  byAddress() {
    const step = window.location.hash.slice(1);
    if (step && step !== this.model.content.step) this.send("go", step);
  }
}

export function render({ model }) {
  const player = new Player(model);
  model.on("content", () => player.show());
  return player.root;
}
