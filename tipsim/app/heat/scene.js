// Both needles in colours of temperature, on one clock; plots, events, probe and ready scenarios.

import { make } from "../framework/make.js";
import { Along } from "./along.js";
import { Clock } from "./clock.js";
import { Course } from "./course.js";
import { EventList } from "./events.js";
import { Legend } from "./legend.js";
import { decodeHeat, setTime, stateAt } from "./packet.js";
import { Painter } from "./painter.js";
import { Probe } from "./probe.js";
import { Shape } from "./shape.js";
import { Zoom } from "./zoom.js";

const FULL_AFTER_MS = 150; // a quiet moment, then the full picture is asked for
const HELP = "Arrow keys: left and right along the needle, up and down through its layers.";

class Scene {
  constructor(model) {
    this.model = model;
    this.sent = 0;
    this.probe = new Probe(() => this.probed());
    this.clock = new Clock(() => this.paint());
    this.legend = new Legend((scale) => this.change("both", "scale", scale));
    this.course = new Course({ seek: (t) => this.clock.seek(t), move: (...all) => this.moveEvent(...all) });
    this.along = new Along((mm) => this.probe.moveTo(mm));
    const changed = (side, events) => this.change(side, "events", events);
    this.list = new EventList(changed, () => this.clock.time);
    this.zoom = new Zoom(() => this.model.send_msg({ zoom: this.clock.time }));
    this.build();
    new ResizeObserver(() => this.fit()).observe(this.root);
    new MutationObserver(() => this.paint()).observe(document.documentElement, {
      attributes: true,
      attributeFilter: ["data-theme"],
    });
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.paint());
  }

  build() {
    this.ready = make("div", { className: "ready", role: "group", ariaLabel: "Ready scenarios" });
    this.told = make("p", { className: "ready-words" });
    this.needles = ["a", "b"].map((key, k) => this.needle(key, k));
    this.stage = make("div", { className: "stage" }, ...this.needles.map(({ node }) => node));
    this.busy = make("p", { className: "busy", hidden: true }, "rough, the exact one follows");
    this.scaleNote = make(
      "p",
      { className: "note" },
      "Cut lengthwise through the middle of the load. Drawn 1.7 times as thick as long, so that the layers can be " +
      "told apart. Lines join places of the same temperature.",
    );
    this.root = make(
      "div",
      { className: "heat" },
      make("div", { className: "starts" }, this.ready, this.told),
      make(
        "section",
        { className: "card picture" },
        this.clock.node,
        this.stage,
        this.busy,
        this.legend.node,
        this.probe.node,
        this.scaleNote,
      ),
      this.course.node,
      this.zoom.node,
      this.list.node,
      this.along.node,
    );
  }

  needle(key, k) {
    const canvas = make("canvas", {});
    const hold = make("div", { className: "hold", tabIndex: 0 }, canvas);
    hold.setAttribute("role", "application");
    hold.setAttribute("aria-roledescription", "probe");
    hold.addEventListener("pointermove", (event) => this.point(event, k));
    hold.addEventListener("pointerdown", (event) => this.point(event, k));
    hold.addEventListener("keydown", (event) => this.probe.key(event, k));
    const title = make("h2", {}, make("span", { className: `letter ${key}` }, key.toUpperCase()), " ");
    const words = make("span", { className: "title" });
    const state = make("span", { className: "state" });
    title.append(words);
    return {
      node: make("div", { className: "needle" }, make("div", { className: "needle-top" }, title, state), hold),
      hold,
      words,
      state,
      painter: new Painter(canvas),
    };
  }

  // ---- from the server ----

  take() {
    if (!this.model.packet?.byteLength) return;
    this.head = decodeHeat(this.model.packet);
    this.busy.hidden = !this.head.rough;
    clearTimeout(this.wait);
    if (this.head.rough) this.wait = setTimeout(() => this.model.send_msg({ full: true }), FULL_AFTER_MS);
    this.starts();
    this.probe.take(this.head);
    this.list.take(this.head);
    this.width = 0;
    this.fit();
    this.clock.take(this.head.duration);
    this.paint();
    this.root.dataset.rough = String(this.head.rough);
  }

  answered() {
    const { error = "" } = this.model.reply ?? {};
    this.list.refuse(error);
    if (error) {
      this.list.shown = null;
      const kept = error;
      this.list.take(this.head);
      this.list.refuse(kept);
      this.course.events();
    }
  }

  starts() {
    const { ready, ready_now: now } = this.head;
    if (!this.ready.childElementCount) {
      this.ready.append(
        ...ready.map(({ id, title }) =>
          make("button", { type: "button", value: id, click: () => this.start(id) }, title),
        ),
      );
    }
    for (const button of this.ready.children) button.setAttribute("aria-pressed", String(button.value === now));
    this.told.textContent = ready.find(({ id }) => id === now)?.words ?? "A setting of your own.";
  }

  fit() {
    const width = Math.floor(this.stage.clientWidth);
    if (!this.head || !width || width === this.width) return;
    this.width = width;
    const { head } = this;
    const longest = Math.max(...head.sides.map((side) => side.length));
    head.sides.forEach((side, k) => {
      const one = this.needles[k];
      one.shape = new Shape(side, width, longest);
      one.painter.take(one.shape, head.scale);
      one.words.textContent = side.title;
    });
    this.legend.show(head, width);
    this.course.take(head);
    this.along.take(head);
    this.zoom.take(head);
    this.paint();
  }

  // ---- painting ----

  paint() {
    const { head, probe } = this;
    if (!head || !this.width) return;
    const t = this.clock.time;
    head.sides.forEach((side, k) => {
      setTime(head, side, t);
      const one = this.needles[k];
      const state = stateAt(head, k, t);
      const row = probe.row(k);
      const over =
        side.boils && t > side.boiled ? `The water boiled at ${side.boiled.toFixed(1)} s: the model ends there.` : "";
      one.painter.paint({
        press: state.press,
        probe: row ? { fromEnd: probe.fromEnd, row, mine: k === probe.mine } : null,
        over,
      });
      one.state.textContent = stateWords(state, over);
    });
    this.clock.show();
    probe.show();
    this.course.paint(t);
    this.along.paint(probe);
    if (!this.clock.playing) this.still();
  }

  /** What is said once the clock stands still. */
  still() {
    this.head.sides.forEach((side, k) => {
      this.needles[k].hold.setAttribute("aria-label", `Needle ${side.key.toUpperCase()}, ${side.told}. ${HELP}`);
    });
    this.along.describe();
  }

  probed() {
    if (!this.head) return;
    this.paint();
    this.clock.say(() => this.probe.sentence());
  }

  point(event, k) {
    const { shape } = this.needles[k];
    if (!shape) return;
    const box = this.needles[k].hold.getBoundingClientRect();
    const { fromEnd, row } = shape.find(event.clientX - box.left, event.clientY - box.top);
    this.probe.moveTo(fromEnd, row, k);
  }

  // ---- to the server ----

  change(side, field, value) {
    this.sent += 1;
    this.model.send_msg({ n: this.sent, changes: [{ side, field, value }] });
  }

  /** Another scenario begins at its beginning, unless the clock was stopped on the way. */
  start(id) {
    if (this.clock.playing || this.clock.time >= this.clock.duration) this.clock.restart();
    this.change("both", "ready", id);
  }

  moveEvent(side, index, time) {
    const events = this.head.events[side === "b" ? 1 : 0];
    this.change(side, "events", events.map((event, k) => (k === index ? { ...event, time_s: time } : event)));
  }

  remove() {
    clearTimeout(this.wait);
    this.clock.remove();
    for (const { chart } of [this.course, this.along, this.zoom]) chart.remove();
  }
}

function stateWords(state, over) {
  if (over) return "boiled";
  const parts = [];
  if (!state.on) parts.push("drive off");
  else if (state.power !== null) parts.push(`power ${state.power} %`);
  if (state.lost) parts.push("flow lost");
  if (state.blocked) parts.push(`mouth ${state.blocked} % blocked`);
  return parts.join(", ");
}

export function render({ model }) {
  const scene = new Scene(model);
  scene.take();
  model.on("packet", () => scene.take());
  model.on("reply", () => scene.answered());
  model.on("zoom", () => scene.zoom.show(model.zoom));
  model.on("remove", () => scene.remove());
  return scene.root;
}
