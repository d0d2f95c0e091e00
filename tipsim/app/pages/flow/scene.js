// Both benches, the hand at the opening, and the run over time.

import { Chart } from "../../framework/chart.js";
import { Clock, Player, calm } from "../../framework/clock.js";
import { make } from "../../framework/make.js";
import { tell } from "../../framework/messenger.js";
import { decode } from "../../framework/packet.js";
import { Ready } from "../../framework/ready.js";
import { Drawing } from "./drawing.js";
import { atTime, whole } from "./run.js";

const STEP_S = 0.02;
const FINE_S = 0.005;
const SHORTEST_HOLD_S = 0.05;
const SAME_S = 0.006;
/** @type {[number, string][]} */
const SPEEDS = [[1, "Real time"], [1 / 5, "⅕×"], [1 / 20, "1/20×"]];
const CHARTS = ["chamber", "vacuum", "rush"];
const FIRST = ["usual", "kink"]; // examples that stand in the open
const EVENTS = {
  occlusion: {
    begin: "Occlude",
    end: "Release",
    before: "The opening is free.",
    during: "A fragment occludes the opening: the vacuum builds.",
    after: "Occlusion break: fluid rushes up the bore, and the pressure in the chamber dips.",
    marks: ["occluded", "released"],
  },
  "no irrigation": {
    begin: "Kink the line",
    end: "Free the line",
    before: "Bottle and line are open.",
    during: "No irrigation, and the pump is on: the chamber empties.",
    after: "The irrigation is back: the chamber fills.",
    marks: ["kinked", "free again"],
  },
};

class Scene {
  constructor(model) {
    this.model = model;
    this.wide = "whole";
    this.clock = new Clock((seconds) => this.paint(seconds), { rate: 1 / 5 });
    this.player = new Player(this.clock, {
      calm: true,
      step: STEP_S,
      fine: FINE_S,
      steps: ["20 milliseconds back", "20 milliseconds on"],
      speeds: SPEEDS,
      format: (time) => `${time.toFixed(2)} s`,
      name: () => (this.clock.time > 0 && !this.player.atEnd ? "Continue" : "Play all"),
    });
    this.drawings = ["a", "b"].map((side) => new Drawing(side));
    const seek = (time) => this.player.seek(time);
    this.charts = CHARTS.map((name) => new Chart(`flow.${name}`, { seek }));
    this.ready = new Ready("Change one thing", (id) => this.send("ready", id), FIRST);
    this.boxes = make("div", { className: "drawings" }, ...this.drawings.map((d) => d.node));
    this.root = make(
      "div",
      { className: "scene", keydown: (event) => this.player.key(event) },
      this.ready.node,
      this.hand(),
      (this.row = make("div", { className: "run" }, make("div", {}, this.boxes, this.player.node), this.curves())),
    );
    this.clock.watch(this.root);
  }

  // ---- parts, built once ----

  hand() {
    const button = (words, act) => make("button", { type: "button", className: "main", click: act }, words);
    this.begin = button("Occlude", () => this.occlude());
    this.free = button("Release", () => this.release());
    this.state = make("p", { className: "now-words" });
    return make("div", { className: "actions" }, this.begin, this.free, this.state);
  }

  curves() {
    const options = [["whole", "the whole run"], ["break", "around its end"]];
    this.pickSpan = make("select", { id: "span", change: () => this.setSpan(this.pickSpan.value) });
    this.pickSpan.append(...options.map(([value, words]) => make("option", { value }, words)));
    const pick = make("div", { className: "pick" }, make("label", { htmlFor: "span" }, "Show"), this.pickSpan);
    const [first, ...rest] = this.charts.map((chart) => chart.node);
    return make(
      "section",
      { className: "over-time" },
      make("h2", {}, "Over time"),
      first,
      make("details", { className: "rest" }, make("summary", {}, "Vacuum and flow over time"), pick, ...rest),
    );
  }

  // ---- a new run ----

  take() {
    if (!this.model.packet?.byteLength) return;
    const flow = decode(this.model.packet);
    this.flow = flow;
    this.spoken = null;
    this.clock.fit(flow.end);
    this.words = EVENTS[flow.event];
    this.begin.textContent = this.words.begin;
    this.free.textContent = this.words.end;
    this.ready.show(flow.choices, flow.ready);
    this.sides = flow.alike ? flow.sides.slice(0, 1) : flow.sides;
    this.sides.forEach((side, k) => {
      const letters = flow.alike ? ["a", "b"] : [side.side];
      const title = flow.alike ? `flow alike: ${bore(flow.sides)}` : `${side.needle}, ${side.pump}-controlled`;
      this.drawings[k].take({ ...side, letters, title });
    });
    this.drawings[1].node.hidden = flow.alike;
    this.row.classList.toggle("one", flow.alike);
    this.plot();
    if (this.releasing && Math.abs(flow.hold - this.releasing) < SAME_S) {
      this.releasing = 0;
      this.clock.play(flow.release);
    } else if (this.waits === "release") {
      // What waited at the break waits there still, whether it is earlier or later now.
      this.clock.time = flow.release;
    }
    this.clock.go();
    this.paint(0);
  }

  plot() {
    const { sides, block, release, end } = this.flow;
    const around = [Math.max(0, release - 0.1), Math.min(end, release + 0.6)];
    const [begun, over] = this.words.marks;
    const marks = [{ x: block, label: begun, foot: true }];
    if (release < end) marks.push({ x: release, label: over, foot: true });
    const limits = [...new Set(sides.map((side) => side.limit_mmhg))];
    this.charts.forEach((chart, k) => {
      const name = CHARTS[k];
      const lines = sides.map(({ side, curves }) => [side, { x: curves.time, y: curves[name] }]);
      const flat = this.sides.filter((side) => side.flat !== null);
      const ends = flat.map(({ side, flat: x }) => {
        const whose = this.flow.alike ? "" : `${side.toUpperCase()}: `;
        return { x, label: `${whose}chamber flat`, colour: "bad" };
      });
      chart.show({
        lines: Object.fromEntries(lines),
        marks: k ? marks.map(({ x }) => ({ x })) : [...marks, ...ends],
        levels: name === "vacuum" ? limits.map((y) => ({ y, label: "vacuum limit", colour: "warn" })) : [],
        x: this.wide === "whole" ? [0, end] : around,
        words: sides.map(({ side, words }) => `${side.toUpperCase()}: ${words}`).join(" "),
      });
    });
  }

  // ---- painting: gives whether there is more to move ----

  paint(seconds) {
    const { flow, clock, player } = this;
    if (!flow) return false;
    const moments = this.sides.map((side) => atTime(side, clock.time));
    const flows = !calm() && !player.stopped;
    moments.forEach((now, k) => {
      this.drawings[k].show(now);
      if (seconds && flows) this.drawings[k].advance(seconds, now);
    });
    for (const chart of this.charts) chart.cursor(clock.time);
    player.show();
    this.waits = clock.running ? "" : this.place();
    this.describe(moments);
    if (!clock.running && this.spoken !== clock.time) this.speak(moments);
    return flows;
  }

  /** Where the run stands still: before the fragment, at the break, or elsewhere. */
  place() {
    const { time } = this.clock;
    if (time <= this.flow.block) return "block";
    return Math.abs(time - this.flow.release) < 1e-6 ? "release" : "";
  }

  describe(moments) {
    const { time } = this.clock;
    const { block, release } = this.flow;
    const held = time > block && time <= release;
    this.free.disabled = !held || Boolean(this.releasing);
    let words = this.words.before;
    if (held) words = this.words.during;
    if (time > release) words = this.words.after;
    if (moments.every(({ over }) => over)) words = "The chamber is flat: the model ends here.";
    if (this.state.textContent !== words) this.state.textContent = words;
  }

  speak(moments) {
    const { time } = this.clock;
    this.spoken = time;
    const words = moments.map((now, k) => this.drawings[k].say(now));
    const [a, b = a] = moments.map(({ chamber }) => whole(Math.max(0, chamber)));
    const short = `${time.toFixed(2)} seconds, chamber A ${a}, B ${b} mmHg`;
    this.player.say(short, `${this.state.textContent} ${words.join(". ")}.`);
  }

  // ---- what a person does ----

  send(field, value) {
    tell(this.model, { changes: [{ side: "both", field, value }] });
  }

  occlude() {
    this.releasing = 0;
    this.player.stopped = false;
    this.clock.play(this.flow.block, this.flow.release);
  }

  /** Release now: the server solves a run that was occluded just so long. */
  release() {
    const { time } = this.clock;
    const { shut, hold, release } = this.flow;
    this.player.stopped = false;
    const held = Math.max(SHORTEST_HOLD_S, Math.round((time - shut) * 100) / 100);
    if (Math.abs(held - hold) < SAME_S) {
      this.clock.play(release);
      return;
    }
    this.releasing = held;
    this.clock.pause();
    this.send("surge.hold_s", held);
  }

  setSpan(wide) {
    this.wide = wide;
    this.plot();
  }

  remove() {
    this.clock.remove();
    for (const chart of this.charts) chart.remove();
  }
}

/** What both needles have in common where they flow alike. */
const bore = (sides) => [...new Set(sides.map(({ needle }) => needle))].join(" and ");

export function render({ model }) {
  const scene = new Scene(model);
  scene.take();
  model.on("packet", () => scene.take());
  model.on("remove", () => scene.remove());
  return scene.root;
}
