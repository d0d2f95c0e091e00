// The lesson player: steps in order, each question stored before it tells anything.

import { make } from "../framework/make.js";
import { rich } from "./widgets/text.js";
import { questionView } from "./widgets/question.js";
import { compared, example, keyPoints, result, runTasks, sourceList } from "./parts.js";
import { Experiment } from "./experiment.js";
import { greet } from "./learner.js";

class Player {
  constructor(model) {
    this.model = model;
    this.seq = 0;
    this.root = make("div", { className: "player" });
    this.status = make("p", { className: "sr", role: "status" });
    this.top = make("header", { className: "top" });
    this.nav = make("nav", { className: "steps", "aria-label": "Steps of this lesson" });
    this.step = make("section", { className: "step", "aria-live": "off" });
    this.onward = make("div", { className: "onward" });
    this.experiment = new Experiment(model, () => this.send({ do: "run" }));
    this.root.append(this.top, this.nav, this.step, this.onward, this.status, this.experiment.shelf);
    this.questions = new Map();
    greet((message) => this.send(message), () => Boolean(model.content.step));
    window.addEventListener("popstate", () => this.byAddress());
    this.show();
  }

  send(message) {
    this.seq += 1;
    this.model.send_msg({ ...message, seq: this.seq });
  }

  say(words) {
    this.status.textContent = words;
  }

  show() {
    const { content } = this.model;
    if (!content.step) return;
    if (content.visit !== this.visit) this.enter(content);
    else this.update(content);
    if (content.notice !== this.notice) this.showTop(content);
    this.showNav(content);
    this.showOnward(content);
  }

  // ---- a new step ----

  enter(content) {
    const first = this.visit === undefined;
    this.visit = content.visit;
    this.showTop(content);
    this.questions.clear();
    this.experiment.rest();
    this.heading = make("h2", { tabIndex: -1 }, content.step.title);
    const kind = make("p", { className: "kind" }, content.step.word);
    this.step.dataset.kind = content.step.kind;
    this.step.replaceChildren(kind, this.heading, ...this.parts(content.step));
    this.update(content);
    const place = `Step ${content.at + 1} of ${content.steps.length}: ${content.step.word}`;
    kind.textContent = place;
    this.say(place);
    this.address(content.step.id, first);
    if (first) return;
    this.heading.focus({ preventScroll: true });
    this.root.scrollIntoView({ block: "start" });
  }

  parts(step) {
    this.asked = make("div", { className: "questions" });
    const text = rich("div", step.html, { className: "text" });
    const bench = this.experiment.part();
    return [
      text,
      ...runTasks(step),
      bench,
      ...compared(step),
      ...example(step),
      ...keyPoints(step),
      ...result(step, this),
      this.asked,
      ...sourceList(step),
    ];
  }

  // ---- the same step, after an answer ----

  update({ step }) {
    let told = null;
    for (const data of step.questions) {
      const words = JSON.stringify(data);
      const before = this.questions.get(data.id);
      if (before?.words === words) continue;
      if (before && data.state === "open" && before.state === "open" && before.serial === data.serial) {
        before.words = words;
        const wrong = before.node.querySelector(".wrong");
        wrong?.replaceChildren(data.error);
        if (wrong) wrong.hidden = !data.error;
        continue;
      }
      const node = this.put(before?.node, questionView(data, this.host));
      this.questions.set(data.id, { words, node, state: data.state, serial: data.serial });
      if (before) told = node;
    }
    // A goal outside of a run brings the bench into its question.
    const goal = step.goal && this.questions.get(step.goal).node;
    if (goal && !goal.contains(this.experiment.box)) goal.querySelector(".asked").after(this.experiment.box);
    this.experiment.show(step);
    (told?.querySelector(".verdict") ?? told)?.focus();
  }

  /** Put a question in the place of what it was. One that holds the bench keeps it where it is. */
  put(old, fresh) {
    if (!old) this.asked.append(fresh);
    else if (!old.contains(this.experiment.box)) old.replaceWith(fresh);
    else {
      for (const part of [...old.children]) if (!part.matches("h3, .asked, .experiment")) part.remove();
      old.querySelector(".asked").replaceWith(fresh.querySelector(".asked"));
      old.append(...[...fresh.children].filter((part) => !part.matches("h3")));
      old.className = fresh.className;
      old.dataset.seed = fresh.dataset.seed;
      return old;
    }
    return fresh;
  }

  get host() {
    return {
      send: (message) => this.send(message),
      say: (words) => this.say(words),
      settings: () => this.experiment.settings(),
    };
  }

  // ---- around it ----

  showTop({ lesson, who, notice }) {
    this.notice = notice;
    const lessons = make("a", { href: "./lessons" }, "All lessons");
    const keeps = who
      ? make("span", {}, `Kept for ${who}.`)
      : make("span", {}, "Just looking: nothing is kept. ", make("a", { href: "./lessons#record" }, "Keep a record"));
    this.top.replaceChildren(
      make("h1", {}, lesson.title),
      make("p", { className: "about" }, lessons, make("span", {}, `${lesson.minutes} minutes`), keeps),
      ...(notice ? [make("p", { className: "wrong", role: "alert" }, notice)] : []),
    );
  }

  showNav({ steps, at }) {
    const entries = steps.map((step, i) => {
      const words = make("span", { className: "word" }, step.word);
      const sign = make(
        "span",
        { className: "number", "aria-hidden": "true" },
        step.state === "done" ? "✓" : String(i + 1),
      );
      const states = { done: ", done", locked: ", locked until your prediction is stored", later: ", later" };
      const more = make("span", { className: "sr" }, i === at ? "" : (states[step.state] ?? ""));
      const open = step.state === "done" || step.state === "open";
      const entry = make(open || i === at ? "button" : "span", { className: `entry ${step.state}` }, sign, words, more);
      if (entry instanceof HTMLButtonElement) {
        entry.type = "button";
        entry.addEventListener("click", () => this.send({ do: "go", step: step.id }));
      }
      if (i === at) entry.setAttribute("aria-current", "step");
      return make("li", {}, entry);
    });
    this.nav.replaceChildren(make("ol", {}, ...entries));
  }

  showOnward({ step }) {
    const parts = [];
    if (step.back) parts.push(make("button", { type: "button", click: () => this.send({ do: "back" }) }, "Back"));
    if (step.next) {
      const button = make("button", { type: "button", className: "main next" }, step.next.label);
      button.setAttribute("aria-disabled", String(!step.next.open));
      button.addEventListener("click", () => (step.next.open ? this.send({ do: "next" }) : this.blocked(step)));
      parts.push(button);
    } else parts.push(make("a", { className: "main", href: "./lessons" }, "All lessons"));
    const why = make("p", { className: "why-not" }, step.next?.open === false ? step.next.why : "");
    const focused = this.onward.getRootNode().activeElement?.className;
    this.onward.replaceChildren(...parts, why);
    if (focused?.includes("next")) this.onward.querySelector(".next")?.focus();
  }

  blocked(step) {
    this.say("");
    setTimeout(() => this.say(step.next.why), 30);
    const open = step.questions.find(({ state }) => state === "open");
    if (open) this.questions.get(open.id).node.querySelector("input, select, button, [tabindex='0']")?.focus();
  }

  // ---- the browser's own back and forward ----

  address(step, first) {
    const url = `#${step}`;
    if (window.location.hash === url) return;
    if (first) window.history.replaceState(null, "", url);
    else window.history.pushState(null, "", url);
  }

  byAddress() {
    const step = window.location.hash.slice(1);
    if (step && step !== this.model.content.step?.id) this.send({ do: "go", step });
  }
}

export function render({ model }) {
  const player = new Player(model);
  model.on("content", () => player.show());
  return player.root;
}
