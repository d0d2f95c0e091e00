// Both benches, the hand at the opening, and the run over time.

import { Chart } from "../../framework/chart.js";
import { Clock, Player, calm } from "../../framework/clock.js";
import { make } from "../../framework/make.js";
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

class Scene {
  constructor(model) {
    this.model = model;
    this.wide = "whole";
    this.clock = new Clock((seconds) => this.paint(seconds), { rate: 1 / 5 });
    this.player = new Player(this.clock, {
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
    this.ready = new Ready("Change one thing", (id) => this.send("ready", id));
    this.root = make(
      "div",
      { className: "scene", keydown: (event) => this.player.key(event) },
      this.ready.node,
      this.hand(),
      make("div", { className: "drawings" }, ...this.drawings.map((d) => d.node)),
      this.player.node,
      this.curves(),
    );
    this.clock.watch(this.root);
  }

  // ---- parts, built once ----

  hand() {
    const button = (words, act) => make("button", { type: "button", className: "main", click: act }, words);
    this.free = button("Release", () => this.release());
    this.state = make("p", { className: "now-words" });
    return make("div", { className: "actions" }, button("Occlude", () => this.occlude()), this.free, this.state);
  }

  curves() {
    const options = [["whole", "the whole run"], ["break", "around the occlusion break"]];
    this.pickSpan = make("select", { id: "span", change: () => this.setSpan(this.pickSpan.value) });
    this.pickSpan.append(...options.map(([value, words]) => make("option", { value }, words)));
    const pick = make("div", { className: "pick" }, make("label", { htmlFor: "span" }, "Show"), this.pickSpan);
    return make(
      "section",
      { className: "over-time" },
      make("div", { className: "top" }, make("h2", {}, "Over time"), pick),
      ...this.charts.map((chart) => chart.node),
    );
  }

  // ---- a new run ----

  take() {
    if (!this.model.packet?.byteLength) return;
    const flow = decode(this.model.packet);
    this.flow = flow;
    this.spoken = null;
    this.clock.fit(flow.end);
    this.ready.show(flow.choices, flow.ready);
    this.drawings.forEach((drawing, k) => drawing.take(flow.sides[k]));
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
    const marks = [{ x: block, label: "occluded", foot: true }, { x: release, label: "released", foot: true }];
    const limits = [...new Set(sides.map((side) => side.limit_mmhg))];
    this.charts.forEach((chart, k) => {
      const name = CHARTS[k];
      const lines = sides.map(({ side, curves }) => [side, { x: curves.time, y: curves[name] }]);
      const flat = sides.filter((side) => side.flat !== null);
      const ends = flat.map(({ side, flat: x }) => {
        return { x, label: `${side.toUpperCase()}: chamber collapses`, colour: "bad" };
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
    const moments = flow.sides.map((side) => atTime(side, clock.time));
    const flows = !calm() && !player.stopped;
    this.drawings.forEach((drawing, k) => {
      drawing.show(moments[k]);
      if (seconds && flows) drawing.advance(seconds, moments[k]);
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
    let words = "The opening is free.";
    if (held) words = "A fragment occludes the opening: the vacuum builds.";
    if (time > release) words = "Occlusion break: fluid rushes up the bore, and the pressure in the chamber dips.";
    if (moments.every(({ over }) => over)) words = "The chamber has collapsed: the model ends here.";
    if (this.state.textContent !== words) this.state.textContent = words;
  }

  speak(moments) {
    const { time } = this.clock;
    this.spoken = time;
    const words = this.drawings.map((drawing, k) => drawing.say(moments[k]));
    const [a, b] = moments.map(({ chamber }) => whole(chamber));
    const short = `${time.toFixed(2)} seconds, chamber A ${a}, B ${b} mmHg`;
    this.player.say(short, `${this.state.textContent} ${words.join(". ")}.`);
  }

  // ---- what a person does ----

  send(field, value) {
    this.model.send_msg({ changes: [{ side: "both", field, value }] });
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

export function render({ model }) {
  const scene = new Scene(model);
  scene.take();
  model.on("packet", () => scene.take());
  model.on("remove", () => scene.remove());
  return scene.root;
}
