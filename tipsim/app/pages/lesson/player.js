// A lesson's page: the server writes its steps; this puts widgets, bench and frames into them.

import { fill, listen } from "../../framework/article.js";
import { greet } from "../../framework/learner.js";
import { make } from "../../framework/make.js";
import { Experiment } from "./experiment.js";
import { widget } from "./widgets/kinds.js";

// What a lost connection keeps; see connection.js.
const returned = () => /** @type {any} */ (window).tipsimReturn ?? { kept: null, keep: {} };

class Player {
  constructor(model) {
    this.model = model;
    this.page = make("div", { className: "player" });
    this.status = make("p", { className: "sr", role: "status" });
    this.experiment = new Experiment(model, this.page);
    this.root = make("div", {}, this.status, this.page, this.experiment.shelf);
    /** @type {WeakMap<Element, {key: string, widget: any}>} */
    this.widgets = new WeakMap();
    // A pressed button is noted on its way.
    listen(this.page, { send_msg: ({ changes }) => changes.forEach(({ field, value }) => this.send(field, value)) });
    this.page.addEventListener("click", (event) => this.pressed(event));
    this.page.addEventListener("keydown", (event) => {
      const typed = event.key === "Enter" && event.target.matches(".answer input[type='text']");
      if (typed) this.submit(event.target.closest(".question"));
    });
    window.addEventListener("popstate", () => this.byAddress());
    window.addEventListener("tipsim:lost", () => this.lost());
    /** What was done in this visit: a server that has begun anew is told of it. @type {any[]} */
    this.done = [];
    this.kept = returned().kept?.lesson ?? null;
    if (this.kept) this.experiment.left = new Map(this.kept.frames);
    greet((code) => this.hello(code), () => Boolean(model.content.html));
    this.show();
  }

  send(field, value) {
    this.done.push({ field, value });
    this.model.send_msg({ changes: [{ field, value }] });
  }

  /** Say who is here, and after a lost connection what was done before. */
  hello(code) {
    this.done = this.kept?.done ?? [];
    const who = code ?? (this.kept ? { guest: this.kept.guest } : null);
    this.model.send_msg({ changes: [{ field: "hello", value: who }, ...this.done] });
  }

  /** The server is gone: keep what is half typed, and the way here. */
  lost() {
    const { guest } = this.model.content;
    // Records hold a learner's answers; of the step itself they do not hold that it was begun.
    const again = ({ field }) => guest || ["run", "begin"].includes(field);
    returned().keep.lesson = {
      guest,
      done: this.done.filter(again),
      typed: this.typed(),
      frames: [...this.experiment.places()],
    };
  }

  /** What stands in each open question. */
  typed() {
    return [...this.page.querySelectorAll(".question.open")].map((question) => ({
      item: question.dataset.item,
      given: this.widgets.get(question.querySelector(".answer"))?.widget.answer() ?? null,
      sure: question.querySelector(".sure input:checked")?.value,
      focused: question.contains(this.page.getRootNode().activeElement),
    }));
  }

  /** Put back what was half typed. */
  retype() {
    if (!this.kept?.typed) return;
    for (const { item, given, sure, focused } of this.kept.typed) {
      const question = this.page.querySelector(`.question.open[data-item="${CSS.escape(item)}"]`);
      if (!question) continue;
      // A goal is answered by what is set in the experiment.
      if (given !== null && !(given instanceof Promise)) {
        this.widgets.get(question.querySelector(".answer"))?.widget.show(given);
      }
      const box = sure && question.querySelector(`.sure input[value="${sure}"]`);
      if (box) box.checked = true;
      if (focused) question.querySelector("input, select, [tabindex='0']")?.focus({ preventScroll: true });
    }
    this.kept = null;
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
    this.retype();
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
