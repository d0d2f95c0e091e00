// One question: its text, the widget to answer with, how sure one is, and what the answer tells.

import { make } from "../../framework/make.js";
import { mark, rich } from "./text.js";
import { choiceWidget } from "./choice.js";
import { numberWidget } from "./number.js";
import { orderWidget } from "./order.js";
import { matchWidget } from "./match.js";
import { placeWidget } from "./place.js";
import { sketchWidget } from "./sketch.js";
import { goalWidget } from "./goal.js";

const WIDGETS = {
  one: choiceWidget, several: choiceWidget, number: numberWidget, order: orderWidget,
  match: matchWidget, place: placeWidget, sketch: sketchWidget, goal: goalWidget,
};
const VERDICTS = { right: "Right", partly: "Partly right", wrong: "Not right" };

/** The element of a question; `host` has send(message), say(words), settings(). */
export const questionView = (data, host) => new Question(data, host).node;

class Question {
  constructor(data, host) {
    this.data = data;
    this.host = host;
    this.widget = WIDGETS[data.kind](data, () => this.submit(), host.say, host.settings);
    this.node = make("section", { className: `question ${data.state}`, tabIndex: -1 });
    this.node.dataset.item = data.id;
    this.node.dataset.kind = data.kind;
    this.node.dataset.seed = data.seed;
    this.node.setAttribute("aria-label", data.label);
    this.node.append(
      make("h3", {}, data.label),
      rich("div", data.html, { className: "asked" }),
      ...this.worked(),
      this.body(),
    );
    if (data.waits) {
      this.wait();
      return;
    }
    if (data.given !== null) this.widget.show(data.given);
    if (data.state === "open") this.node.append(...this.ask());
    else {
      this.widget.lock(data.revealed);
      this.node.append(this.verdict());
    }
  }

  /** A goal in a run: its bench takes the place of the experiment's when called for. */
  wait() {
    const begin = make(
      "button",
      { type: "button", click: () => this.host.send({ do: "begin", item: this.data.id }) },
      "Set the bench up for this task",
    );
    this.node.append(make("div", { className: "actions" }, begin));
  }

  /** Radios and lists need a frame that says what they belong to. */
  body() {
    const frame = make("div", { className: "answer" }, this.widget.node);
    frame.setAttribute("role", "group");
    frame.setAttribute("aria-label", `Your answer to ${this.data.label.toLowerCase()}`);
    return frame;
  }

  worked() {
    const lines = this.data.worked ?? [];
    if (!lines.length) return [];
    const words = make("p", { className: "begun" }, "Begun for you:");
    return [words, make("ol", { className: "worked" }, ...lines.map((html) => rich("li", html)))];
  }

  ask() {
    this.wrong = make("p", { className: "wrong", role: "alert", hidden: !this.data.error });
    this.wrong.textContent = this.data.error ?? "";
    const button = make("button", { type: "button", className: "main", click: () => this.submit() }, this.data.button);
    return [...this.sureness(), this.wrong, make("div", { className: "actions" }, button)];
  }

  sureness() {
    if (!this.data.levels) return [];
    const radios = Object.entries(this.data.levels).map(([value, words]) => {
      const radio = make("input", { type: "radio", name: `sure-${this.data.id}`, value });
      radio.checked = this.sure === value;
      radio.addEventListener("change", () => (this.sure = value));
      return make("label", {}, radio, words);
    });
    const set = make("div", { className: "segments" }, ...radios);
    const legend = make("legend", {}, "How sure are you?");
    return [make("fieldset", { className: "sure" }, legend, set)];
  }

  async submit() {
    const given = await this.widget.answer();
    if (given === null) return this.complain(this.widget.empty);
    if (this.data.levels && !this.sure) return this.complain("Say how sure you are, too.");
    this.wrong.hidden = true;
    this.host.send({ do: "answer", item: this.data.id, given, confidence: this.sure ?? null });
  }

  complain(words) {
    this.wrong.textContent = words;
    this.wrong.hidden = false;
  }

  verdict() {
    const { data } = this;
    const box = make("div", { className: `verdict ${data.verdict ?? "stored"}`, tabIndex: -1 });
    if (!data.verdict) {
      const sure = data.sure ? ` You said: ${data.sure.toLowerCase()}.` : "";
      box.append(make("p", {}, `Your prediction is stored.${sure} Whether it holds, you will see.`));
      return box;
    }
    box.append(make("p", { className: "heading" }, mark(data.verdict === "right", VERDICTS[data.verdict])));
    box.append(...data.feedback.map((html) => rich("div", html)));
    if (data.truth) box.append(rich("p", `<b>The model:</b> ${data.truth}`, { className: "truth-words" }));
    if (data.again) {
      const again = make(
        "button",
        { type: "button", click: () => this.host.send({ do: "again", item: data.id }) },
        data.again,
      );
      box.append(make("div", { className: "actions" }, again));
    }
    return box;
  }
}
