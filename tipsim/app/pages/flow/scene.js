// Both benches, the hand on the mouth, and the run over time.

import { make } from "../../framework/make.js";
import { atTime, decodeFlow, whole } from "./packet.js";
import { Drawing } from "./drawing.js";
import { Chart } from "../../framework/chart.js";
import { Clock } from "../../framework/clock.js";
import { Moments } from "./moments.js";

const SAY_MS = 400;
const STEP_S = 0.02;
const SHORTEST_HOLD_S = 0.05;
const PACES = [[1, "as it runs"], [5, "5 times slower"], [20, "20 times slower"]];
const BEFORE_BREAK_S = 0.1;
const AFTER_BREAK_S = 0.6;

/** What each chart draws of a run, by the name of its kind. */
const CHARTS = {
  "flow.chamber": ({ chamber }) => chamber,
  "flow.vacuum": ({ vacuum }) => vacuum,
  "flow.rush": ({ mouth, bypass }) => mouth.map((value, i) => value + bypass[i]),
};

/** The numbers of one chart. */
function drawn(name, flow, span, words) {
  const lines = flow.sides.map(({ side, curves }) => [side, { x: curves.time, y: CHARTS[name](curves) }]);
  const first = name === "flow.chamber";
  const marks = [
    { x: flow.block, label: first ? "occluded" : "" },
    { x: flow.release, label: first ? "release" : "" },
  ];
  for (const { side, flat } of first ? flow.sides : []) {
    if (flat !== null) marks.push({ x: flat, label: `${side.toUpperCase()}: chamber collapses`, colour: "bad" });
  }
  const limits = [...new Set(flow.sides.map(({ limit_mmhg: limit }) => limit))];
  const levels = name === "flow.vacuum" ? limits.map((y) => ({ y, label: "vacuum limit", colour: "warn" })) : [];
  return { lines: Object.fromEntries(lines), marks, levels, x: span, words };
}

class Scene {
  constructor(model) {
    this.model = model;
    this.calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.wide = "whole";
    this.clock = new Clock((seconds) => this.paint(seconds));
    this.drawings = ["a", "b"].map((side) => new Drawing(side));
    this.charts = Object.keys(CHARTS).map((name) => new Chart(name, { seek: (time) => this.seek(time) }));
    this.moments = new Moments();
    this.status = make("p", { className: "sr" });
    this.status.setAttribute("role", "status");
    this.root = make(
      "div",
      { className: "scene", keydown: (event) => this.key(event) },
      this.examples(),
      this.hand(),
      make("div", { className: "drawings" }, ...this.drawings.map((d) => d.node)),
      this.bar(),
      this.curves(),
      this.moments.node,
      this.status,
    );
    new IntersectionObserver(([entry]) => {
      this.clock.inSight = entry.isIntersecting;
      if (entry.isIntersecting) this.clock.go();
    }).observe(this.root);
  }

  // ---- parts, built once ----

  examples() {
    this.chips = make("div", { className: "chips" });
    this.meaning = make("p", { className: "meaning" });
    return make("div", { role: "group", ariaLabel: "Change one thing" }, this.chips, this.meaning);
  }

  hand() {
    this.block = make("button", { type: "button", className: "main", click: () => this.blockNow() }, "Block the mouth");
    this.free = make("button", { type: "button", className: "main", click: () => this.letGo() }, "Let go");
    this.said = make("p", { className: "now-words" });
    return make("div", { className: "hand" }, this.block, this.free, this.said);
  }

  bar() {
    this.play = make("button", { type: "button", className: "play", click: () => this.toggle() }, "Play all");
    this.slider = make("input", { type: "range", id: "moment", min: 0, max: 1, step: 0.005, value: 0 });
    this.slider.addEventListener("input", () => this.seek(Number(this.slider.value)));
    this.reading = make("span", { className: "reading" });
    this.pace = make("select", { id: "pace", change: () => (this.clock.slower = Number(this.pace.value)) });
    this.pace.append(...PACES.map(([slower, words]) => make("option", { value: slower }, words)));
    this.pace.value = this.clock.slower;
    const step = (label, way, sign) => {
      const click = () => this.seek(this.clock.time + way * STEP_S);
      return make("button", { type: "button", className: "step", ariaLabel: label, title: label, click }, sign);
    };
    return make(
      "div",
      { className: "bar" },
      this.play,
      step("20 milliseconds back", -1, "◀"),
      step("20 milliseconds on", 1, "▶"),
      make("label", { className: "range" }, make("span", {}, "Time"), this.slider),
      this.reading,
      make("div", { className: "pick" }, make("label", { htmlFor: "pace" }, "Pace"), this.pace),
    );
  }

  curves() {
    this.pickSpan = make(
      "select",
      { id: "span", change: () => this.setSpan(this.pickSpan.value) },
      make("option", { value: "whole" }, "the whole run"),
      make("option", { value: "break" }, "around the break"),
    );
    return make(
      "section",
      { className: "over-time" },
      make(
        "div",
        { className: "top" },
        make("h2", {}, "Over time"),
        make("div", { className: "pick" }, make("label", { htmlFor: "span" }, "Show"), this.pickSpan),
      ),
      ...this.charts.map((chart) => chart.node),
    );
  }

  // ---- a new run ----

  take() {
    if (!this.model.packet?.byteLength) return;
    const flow = decodeFlow(this.model.packet);
    this.flow = flow;
    this.spoken = null;
    this.slider.max = flow.end;
    this.showExamples();
    this.drawings.forEach((drawing, k) => drawing.take(flow.sides[k]));
    this.moments.take(flow);
    this.fit();
    if (this.letting) {
      this.letting = false;
      this.clock.play(flow.release, flow.end);
    } else {
      this.clock.time = Math.min(this.clock.time, flow.end);
      // What waited at the break waits there still, whether it is earlier or later now.
      if (this.waits === "release") this.clock.time = flow.release;
      this.clock.until = Math.min(this.clock.until, flow.end);
    }
    this.clock.go();
    this.paint(0);
  }

  showExamples() {
    const { choices, ready } = this.flow;
    if (!this.chips.children.length) {
      this.chips.append(
        ...choices.map(({ id, title }) =>
          make("button", { type: "button", className: "chip", value: id, click: () => this.send("ready", id) }, title),
        ),
      );
    }
    for (const chip of this.chips.children) chip.setAttribute("aria-pressed", String(chip.value === ready));
    this.meaning.textContent = choices.find(({ id }) => id === ready)?.words ?? "Your own setting.";
  }

  fit() {
    const { release, end, sides } = this.flow;
    const around = [Math.max(0, release - BEFORE_BREAK_S), Math.min(end, release + AFTER_BREAK_S)];
    const span = this.wide === "whole" ? [0, end] : around;
    const words = sides.map(({ side, told }) => `${side.toUpperCase()}: ${told}`).join(" ");
    for (const chart of this.charts) chart.show(drawn(chart.name, this.flow, span, words));
    this.paint(0);
  }

  // ---- painting: gives whether there is more to move ----

  paint(seconds) {
    const { flow, clock } = this;
    if (!flow) return false;
    const moments = flow.sides.map((side) => atTime(side, clock.time));
    this.drawings.forEach((drawing, k) => {
      drawing.show(moments[k]);
      if (seconds && !this.calm && !this.stopped) drawing.advance(seconds, moments[k]);
    });
    for (const chart of this.charts) chart.cursor(clock.time);
    this.slider.value = clock.time;
    this.reading.textContent = `${clock.time.toFixed(2)} s`;
    this.waits = clock.running ? "" : this.place();
    this.buttons(moments);
    if (!clock.running && this.spoken !== clock.time) this.speak(moments);
    return clock.running || (!this.calm && !this.stopped);
  }

  /** Where the run stands still: before the piece, when it could go, or elsewhere. */
  place() {
    const { time } = this.clock;
    if (time <= this.flow.block) return "block";
    return Math.abs(time - this.flow.release) < 1e-6 ? "release" : "";
  }

  buttons(moments) {
    const { time, running } = this.clock;
    const { block, release } = this.flow;
    const held = time > block && time <= release;
    this.free.disabled = !held || this.letting;
    this.play.textContent = running ? "Pause" : time > 0 && !this.atEnd() ? "Go on" : "Play all";
    let words = "The mouth is free.";
    if (held) words = "A piece blocks the mouth: the vacuum builds.";
    if (time > release) words = "The piece has gone: water rushes up the bore, and the pressure in the chamber dips.";
    if (moments.every(({ over }) => over)) words = "The chamber has fallen flat: the model ends here.";
    if (this.said.textContent !== words) this.said.textContent = words;
  }

  atEnd() {
    return this.clock.time > this.flow.end - 0.006; // a step of the slider
  }

  speak(moments) {
    this.spoken = this.clock.time;
    clearTimeout(this.saying);
    const [a, b] = moments.map(({ chamber }) => whole(chamber));
    this.slider.setAttribute("aria-valuetext", `${this.clock.time.toFixed(2)} seconds, chamber A ${a}, B ${b} mmHg`);
    const words = this.drawings.map((drawing, k) => drawing.say(moments[k]));
    this.saying = setTimeout(() => (this.status.textContent = `${this.said.textContent} ${words.join(". ")}.`), SAY_MS);
  }

  // ---- what a person does ----

  send(field, value) {
    this.model.send_msg({ changes: [{ side: "both", field, value }] });
  }

  blockNow() {
    this.stopped = false;
    this.clock.play(this.flow.block, this.flow.release);
  }

  /** The piece goes now: the server solves a run that was blocked just so long. */
  letGo() {
    const { time } = this.clock;
    const { shut, hold, release, end } = this.flow;
    this.stopped = false;
    const held = Math.max(SHORTEST_HOLD_S, Math.round((time - shut) * 100) / 100);
    if (Math.abs(held - hold) < 0.006) {
      this.clock.play(release, end);
      return;
    }
    this.letting = true;
    this.clock.stop();
    this.send("trial.hold_s", held);
  }

  toggle() {
    const { clock, flow } = this;
    if (clock.running) {
      this.stopped = true;
      clock.stop();
      return;
    }
    this.stopped = false;
    clock.play(this.atEnd() ? 0 : clock.time, flow.end);
  }

  seek(time) {
    this.stopped = true;
    this.clock.running = false;
    this.clock.time = Math.min(this.flow.end, Math.max(0, time));
    this.paint(0);
  }

  setSpan(wide) {
    this.wide = wide;
    this.fit();
  }

  key(event) {
    const typing = event.composedPath()[0].closest?.("input, select, button, summary, .scroll");
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === " " && !typing) this.toggle();
    else if (event.key === ",") this.seek(this.clock.time - STEP_S);
    else if (event.key === ".") this.seek(this.clock.time + STEP_S);
    else return;
    event.preventDefault();
  }

  remove() {
    this.clock.remove();
    for (const chart of this.charts) chart.remove();
  }
}

export function render({ model }) {
  const scene = new Scene(model);
  scene.take();
  model.on("packet", () => scene.take());
  model.on("remove", () => scene.remove());
  return scene.root;
}
