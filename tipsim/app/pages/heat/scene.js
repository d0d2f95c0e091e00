// Both needles in colours of temperature, on one clock; charts, events, probe and ready settings.

import { Clock, Player, calm } from "../../framework/clock.js";
import { make } from "../../framework/make.js";
import { tell } from "../../framework/messenger.js";
import { Ready } from "../../framework/ready.js";
import { onTheme } from "../../framework/theme.js";
import { Along, OverTime, Zoom } from "./curves.js";
import { EventList } from "./events.js";
import { Legend } from "./legend.js";
import { Painter } from "./painter.js";
import { Probe } from "./probe.js";
import { momentAt, readRun, setTime } from "./run.js";
import { Shape } from "./shape.js";

const HELP = "Arrow keys: left and right along the needle, up and down through its layers.";
const NOTE = "Cut lengthwise through the middle of the load. Drawn 1.7 times as thick as long, so that the layers " +
  "can be told apart. Lines join places of the same temperature.";
/** @type {[number, string][]} */
const SPEEDS = [[1, "Real time"], [2, "2×"], [5, "5×"], [10, "10×"]];

const BEFORE_S = 0.3;
const AFTER_S = 0.7;
const BESIDE_PX = 900; // from here on both needles stand side by side

class Scene {
  constructor(model) {
    this.model = model;
    this.sent = 0;
    this.clock = new Clock(() => this.paint(), { rate: 5, pace: (time) => this.pace(time) });
    this.player = new Player(this.clock, {
      calm: true,
      step: 0.5,
      fine: 0.1,
      steps: ["Half a second back", "Half a second on"],
      speeds: SPEEDS,
      format: (time) => `${time.toFixed(1)} s${this.clock.running && this.pace(time) < 1 ? ", real time" : ""}`,
    });
    this.probe = new Probe(() => this.probed());
    this.legend = new Legend((scale) => this.change("both", "scale", scale));
    this.overTime = new OverTime({
      seek: (time) => this.player.seek(time),
      move: (side, index, time) => this.moveEvent(side, index, time),
    });
    this.along = new Along((fromEnd) => this.probe.moveTo(fromEnd));
    this.list = new EventList((side, events) => this.change(side, "events", events), () => this.clock.time);
    this.zoom = new Zoom(() => tell(this.model, { zoom: this.clock.time }));
    this.build();
    this.sizes = new ResizeObserver(() => this.fit());
    this.sizes.observe(this.stage);
    this.endTheme = onTheme(() => {
      for (const { painter } of this.needles) painter.dress();
      this.paint();
    });
    this.clock.watch(this.root);
  }

  build() {
    this.ready = new Ready("Ready settings", (id) => this.start(id));
    this.needles = ["a", "b"].map((key, k) => this.needle(key, k));
    this.stage = make("div", { className: "stage sheet" }, ...this.needles.map(({ node }) => node));
    this.busy = make("p", { className: "busy", hidden: true }, "preview, the result follows");
    // The pictures are read place by place where the readings are in sight.
    const reads = ({ target }) => {
      for (const { hold } of this.needles) hold.tabIndex = target.open ? 0 : -1;
    };
    const note = make("p", { className: "note" }, NOTE);
    const title = make("summary", {}, "Temperatures at one place, and the scale");
    const parts = [this.probe.node, this.legend.meaning, note];
    this.more = make("details", { className: "group", toggle: reads }, title, ...parts);
    this.root = make(
      "div",
      { className: "scene heat", keydown: (event) => this.player.key(event) },
      this.ready.node,
      make(
        "section",
        { className: "picture" },
        ...[this.player.node, this.stage, this.busy, this.legend.node],
        this.more,
      ),
      ...[this.overTime, this.zoom, this.list, this.along].map(({ node }) => node),
    );
  }

  needle(key, k) {
    const canvas = make("canvas", {});
    const hold = make("div", { className: "hold", tabIndex: -1, role: "application" }, canvas);
    hold.setAttribute("aria-label", `Needle ${key.toUpperCase()}, being computed`);
    hold.setAttribute("aria-roledescription", "probe");
    hold.addEventListener("pointermove", (event) => this.point(event, k));
    hold.addEventListener("pointerdown", (event) => this.point(event, k));
    hold.addEventListener("keydown", (event) => this.probe.key(event, k));
    const words = make("span", { className: "title" });
    const state = make("span", { className: "state" });
    const title = make("h2", {}, make("span", { className: `letter ${key}` }, key.toUpperCase()), " ", words);
    const node = make("div", { className: "needle" }, make("div", { className: "needle-top" }, title, state), hold);
    return { node, hold, words, state, painter: new Painter(canvas), /** @type {any} */ shape: null };
  }

  // ---- from the server ----

  take(packet) {
    if (!packet?.byteLength) return;
    const first = !this.run;
    const run = readRun(packet);
    this.run = run;
    this.busy.hidden = !run.rough;
    this.root.dataset.rough = String(run.rough);
    this.ready.show(run.ready, run.ready_now);
    this.clock.fit(run.duration);
    for (const side of run.sides) setTime(run, side, this.clock.time);
    for (const part of [this.probe, this.list, this.overTime, this.along, this.zoom]) part.take(run);
    this.width = 0;
    this.fit();
    if (first && !calm()) this.clock.play(0);
    // Without motion a drill opens where its fault has shown what it does.
    else if (first && run.drill && run.matters.length) this.clock.seek(run.matters.at(-1));
    else this.clock.go();
  }

  /** Faster than real time, but where something happens. @param {number} time */
  pace(time) {
    const near = this.run?.matters.some((at) => time > at - BEFORE_S && time < at + AFTER_S);
    return near ? Math.min(1, 1 / this.clock.rate) : 1;
  }

  answered() {
    const error = this.model.reply?.error ?? "";
    this.list.refuse(error);
    if (error) this.overTime.marks.take(this.run);
  }

  fit() {
    const room = Math.floor(this.stage.clientWidth);
    if (!this.run || !room || room === this.width) return;
    this.width = room;
    const beside = room >= BESIDE_PX;
    this.stage.classList.toggle("beside", beside);
    this.stage.classList.add("has-run");
    const width = beside ? Math.floor(room / 2) - 1 : room;
    const { sides, scale } = this.run;
    const longest = Math.max(...sides.map((side) => side.length));
    sides.forEach((side, k) => {
      const one = this.needles[k];
      one.shape = new Shape(side, width, longest);
      one.painter.take(one.shape, scale);
      one.words.textContent = side.title.split(",")[0];
      one.hold.setAttribute("aria-label", `Needle ${side.key.toUpperCase()}, ${side.setting}. ${HELP}`);
    });
    this.legend.show(this.run, room);
    this.paint();
  }

  // ---- painting ----

  paint() {
    const { run, probe, clock } = this;
    if (!run || !this.width) return;
    const t = clock.time;
    run.sides.forEach((side, k) => {
      setTime(run, side, t);
      const one = this.needles[k];
      const { press, words } = momentAt(side, t);
      const row = probe.row(k);
      const boiled = side.boiled !== null && t > side.boiled;
      one.painter.paint({
        press,
        probe: row ? { fromEnd: probe.fromEnd, row, mine: k === probe.mine } : null,
        rough: side.held || (boiled ? `Boiling since ${side.boiled.toFixed(1)} s: rough` : ""),
      });
      one.state.textContent = side.held ? "outside the range of the model" : boiled ? "boiling, rough" : words;
    });
    this.player.show();
    probe.show();
    this.overTime.chart.cursor(t);
    this.along.paint(probe.fromEnd, !clock.running);
    if (!clock.running && this.spoken !== t) {
      this.spoken = t;
      this.player.say(`${t.toFixed(1)} seconds`, probe.sentence());
    }
  }

  probed() {
    if (!this.run) return;
    this.paint();
    this.player.say(`${this.clock.time.toFixed(1)} seconds`, this.probe.sentence());
  }

  point(event, k) {
    const { shape, hold } = this.needles[k];
    if (!shape) return;
    const box = hold.getBoundingClientRect();
    const { fromEnd, row } = shape.find(event.clientX - box.left, event.clientY - box.top);
    this.probe.moveTo(fromEnd, row, k);
  }

  // ---- to the server ----

  change(side, field, value) {
    this.sent += 1;
    tell(this.model, { n: this.sent, changes: [{ side, field, value }] });
  }

  /** Another setting begins at its beginning, unless the clock was stopped on the way. */
  start(id) {
    if (this.clock.running || this.player.atEnd) {
      if (calm()) this.clock.seek(0);
      else this.clock.play(0);
    }
    this.change("both", "ready", id);
  }

  moveEvent(side, index, time_s) {
    const events = this.run.events[side === "b" ? 1 : 0];
    this.change(side, "events", events.map(({ values }, k) => (k === index ? { ...values, time_s } : values)));
  }

  remove() {
    this.clock.remove();
    this.sizes.disconnect();
    this.endTheme();
    for (const { chart } of [this.overTime, this.along, this.zoom]) chart.remove();
  }
}

export function render({ model }) {
  const scene = new Scene(model);
  scene.take(model.preview);
  scene.take(model.packet);
  model.on("preview", () => scene.take(model.preview));
  model.on("packet", () => scene.take(model.packet));
  model.on("reply", () => scene.answered());
  model.on("zoom", () => scene.zoom.show(model.zoom));
  model.on("remove", () => scene.remove());
  return scene.root;
}
