// Both irises on one clock: pictures, play and step, trace, words, numbers, what lowers rubbing.

import { Clock } from "../framework/clock.js";
import { make } from "../framework/make.js";
import { NumberTable, SMALL_PRINT, noteList, sideLetter } from "./rows.js";
import { decodeIris, irisAt, nextContact, workText } from "./packet.js";
import { IrisSection } from "./section.js";
import { Trace } from "./trace.js";

const STEP_S = 0.05;
const SAY_MS = 400;
const SEEDS = 999;
const PACES = [[1, "as it runs"], [4, "4 times slower"], [20, "20 times slower"]];

class IrisView {
  constructor(model) {
    this.model = model;
    this.calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.turn = 0;
    this.clock = new Clock((seconds) => this.paint(seconds));
    this.clock.rate = 1 / 4;
    this.sections = ["a", "b"].map((key) => new IrisSection(key));
    this.trace = new Trace((time) => this.seek(time));
    this.told = make("div", { className: "told" });
    this.table = new NumberTable("Iris", model.sources);
    this.lower = make("div", {});
    this.status = make("p", { className: "sr" });
    this.status.setAttribute("role", "status");
    this.root = make(
      "div",
      { className: "part", keydown: (event) => this.key(event) },
      make("div", { className: "sides" }, ...this.sections.map(({ node }) => node)),
      make(
        "p",
        { className: "soft" },
        "Left: from the side; the dashed line is where the iris is nearest. Right: cut across there, seen from the " +
        "mouth, the iris below. Gap and flutter are to scale. The vibration is to scale in size and slowed down on " +
        "a clock of its own, so that the eye can follow.",
      ),
      this.bar(),
      this.trace.node,
      this.told,
      make(
        "div",
        { className: "two" },
        make("div", {}, this.table.node, make("p", { className: "soft" }, SMALL_PRINT)),
        make("div", {}, make("h3", {}, "What lowers rubbing"), this.lower),
      ),
      this.status,
    );
    new ResizeObserver(() => this.fit()).observe(this.root);
    new IntersectionObserver(([entry]) => {
      this.clock.inSight = entry.isIntersecting;
      if (entry.isIntersecting) this.clock.go();
    }).observe(this.root);
  }

  bar() {
    const press = (className, label, act, words) =>
      make("button", { type: "button", className, ariaLabel: label, title: label, click: act }, words);
    this.play = make("button", { type: "button", className: "play", click: () => this.toggle() }, "Play");
    this.next = make("button", { type: "button", click: () => this.toNext() }, "Next contact");
    this.slider = make("input", { type: "range", id: "iris-time", min: 0, max: 1, step: 0.01, value: 0 });
    this.slider.addEventListener("input", () => this.seek(Number(this.slider.value)));
    this.reading = make("span", { className: "reading" });
    this.pace = make("select", { id: "iris-pace", change: () => (this.clock.rate = 1 / Number(this.pace.value)) });
    this.pace.append(...PACES.map(([slower, words]) => make("option", { value: slower }, words)));
    this.pace.value = 1 / this.clock.rate;
    return make(
      "div",
      { className: "bar" },
      this.play,
      press("step", "50 milliseconds back", () => this.seek(this.clock.time - STEP_S), "◀"),
      press("step", "50 milliseconds on", () => this.seek(this.clock.time + STEP_S), "▶"),
      this.next,
      make("label", { className: "range" }, make("span", {}, "Time"), this.slider),
      this.reading,
      make("div", { className: "pick" }, make("label", { htmlFor: "iris-pace" }, "Pace"), this.pace),
      make(
        "button",
        {
          type: "button",
          title: "Another stretch of the same flutter, the same for A and B",
          click: () => this.draw(),
        },
        "Another draw of chance",
      ),
    );
  }

  // ---- a new setting ----

  take() {
    if (!this.model.packet?.byteLength) return;
    const first = !this.head;
    this.head = decodeIris(this.model.packet);
    this.slider.max = this.head.seconds;
    this.sections.forEach((section, k) => section.take(this.head, this.head.sides[k]));
    this.clock.fit(this.head.seconds);
    this.fit();
    if (first && !this.calm) this.clock.play(0, this.head.seconds);
    this.said = null;
    this.paint(0);
  }

  fit() {
    this.trace.take(this.head);
    this.trace.move(this.clock.time);
  }

  content() {
    const { words = [], rows = [], lower = [] } = this.model.content;
    this.told.replaceChildren(...words.map(({ side, line }) => make("p", {}, sideLetter(side), ` ${line}`)));
    if (rows.length) this.table.show(rows);
    this.lower.replaceChildren(noteList(lower));
  }

  // ---- painting: gives whether there is more to move ----

  paint(seconds) {
    const { head, clock } = this;
    if (!head) return false;
    const moments = head.sides.map((side) => irisAt(head, side, clock.time));
    if (clock.running) this.turn += seconds / clock.rate;
    this.sections.forEach((section, k) => section.show(moments[k], this.turn));
    this.trace.move(clock.time);
    this.slider.value = clock.time;
    this.reading.textContent = `${clock.time.toFixed(2)} s`;
    const words = clock.running ? "Pause" : this.atEnd() ? "Play again" : "Play";
    if (this.play.textContent !== words) this.play.textContent = words;
    this.next.disabled = nextContact(head, clock.time) === null;
    if (!clock.running && this.said !== clock.time) this.speak(moments);
    return clock.running;
  }

  atEnd() {
    return this.clock.time > this.head.seconds - 0.006;
  }

  speak(moments) {
    this.said = this.clock.time;
    clearTimeout(this.saying);
    const time = `${this.clock.time.toFixed(2)} seconds`;
    const words = moments.map((now, k) => {
      const where = now.touching ? "the iris touches" : `gap ${now.gap.toFixed(2)} mm`;
      return `${"AB"[k]}: ${where}, ${now.contacts} contacts and ${workText(now.work)} mJ so far`;
    });
    this.slider.setAttribute("aria-valuetext", `${time}. ${words.join(". ")}`);
    this.sections.forEach((section, k) => section.describe(`Needle, sleeve, wound and iris of ${words[k]}.`));
    this.trace.describe(
      `Gap, contacts and work of rubbing over ${this.head.seconds} seconds. In all, A: ${this.total(0)}. B: ` +
      `${this.total(1)}.`,
    );
    this.saying = setTimeout(() => (this.status.textContent = `${time}. ${words.join(". ")}.`), SAY_MS);
  }

  total(k) {
    const { starts, work } = this.head.sides[k];
    return `${starts.length} contacts, ${workText(work[work.length - 1])} mJ`;
  }

  // ---- what a person does ----

  toggle() {
    const { clock } = this;
    if (clock.running) clock.pause();
    else clock.play(this.atEnd() ? 0 : clock.time, this.head.seconds);
  }

  seek(time) {
    this.clock.running = false;
    this.clock.time = Math.min(this.head.seconds, Math.max(0, time));
    this.paint(0);
  }

  toNext() {
    const time = nextContact(this.head, this.clock.time);
    if (time !== null) this.seek(time);
  }

  draw() {
    const value = (this.head.seed % SEEDS) + 1;
    this.model.send_msg({ changes: [{ side: "both", field: "seed", value }] });
  }

  key(event) {
    const typing = event.composedPath()[0].closest?.("input, select, button");
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === " " && !typing) this.toggle();
    else if (event.key === ",") this.seek(this.clock.time - STEP_S);
    else if (event.key === ".") this.seek(this.clock.time + STEP_S);
    else return;
    event.preventDefault();
  }
}

export function render({ model }) {
  const view = new IrisView(model);
  view.content();
  view.take();
  model.on("packet", () => view.take());
  model.on("content", () => view.content());
  model.on("remove", () => view.clock.remove());
  return view.root;
}
