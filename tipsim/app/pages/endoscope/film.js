// Two films side by side on one clock, a region that is moved by mouse or keys, and charts.

import { Chart } from "../../framework/chart.js";
import { Clock, Player, calm } from "../../framework/clock.js";
import { make } from "../../framework/make.js";
import { tell } from "../../framework/messenger.js";
import { numberText } from "../../framework/numbers.js";
import { decode } from "../../framework/packet.js";
import { Ready } from "../../framework/ready.js";
import { filmButton } from "../../framework/save.js";
import { View } from "./view.js";

/** @type {[number, string][]} */
const SPEEDS = [[0.25, "¼×"], [1, "Real time"], [3, "3×"]];
const SLACK = 1e-3; // of a picture: the film's end lies just within its last one
const CURSOR_MS = 1000;
const WAITING = "The films are being taken; this is a picture with the drive off.";

class Films {
  constructor(model) {
    this.model = model;
    this.clock = new Clock(() => this.paint(), { rate: 1, round: true });
    this.player = new Player(this.clock, {
      calm: true,
      step: 0.1,
      fine: 0.01,
      steps: ["One picture back", "One picture on"],
      speeds: SPEEDS,
      format: (time) => `${time.toFixed(1)} s`,
    });
    this.ready = new Ready("Settings to start from", (id) => this.send([["example", id]]));
    this.views = ["a", "b"].map((key) => new View(key, (place, done) => this.move(place, done)));
    const seek = (time) => this.player.seek(time);
    this.counts = ["a", "b"].map((key) => new Chart(`endoscope.${key}`, { seek }));
    this.region = new Chart("endoscope.region", { seek });
    this.waiting = make("p", { className: "waiting", role: "status" });
    this.marks = make("input", { type: "checkbox", change: () => this.paint(true) });
    const rings = make("label", { className: "counted" }, this.marks, "Ring what the program counts");
    this.root = make(
      "div",
      { className: "scene", keydown: (event) => this.player.key(event) },
      this.ready.node,
      make("div", { className: "views" }, ...this.views.map(({ node }) => node)),
      this.waiting,
      this.player.node,
      rings,
      make("h2", {}, "Specks in view: counted, with error bars, and true"),
      make("div", { className: "reads" }, ...this.counts.map(({ node }) => node)),
      make("h2", {}, "Region darker than with the drive off"),
      this.region.node,
      this.saving(),
    );
    this.clock.watch(this.root);
  }

  saving() {
    this.saved = make("span", { role: "status" });
    const say = (words) => (this.saved.textContent = words);
    this.saves = ["a", "b"].map((key) =>
      filmButton(`Save film ${key.toUpperCase()} and truth (ZIP)`, () => this.data.zips[key], say));
    return make("div", { className: "saving" }, ...this.saves, this.saved);
  }

  // ---- new films, or the picture that is there first ----

  take() {
    if (!this.model.packet?.byteLength) return;
    const data = decode(this.model.packet);
    const first = !this.data?.filmed;
    this.data = data;
    this.ready.show(data.examples, data.example);
    this.waiting.textContent = data.filmed ? "" : WAITING;
    this.views.forEach((view, k) => view.take(data.sides[k]));
    for (const button of this.saves) button.disabled = !data.filmed;
    if (data.filmed) {
      const ends = data.sides.map(({ shape, rate }) => (shape[0] - SLACK) / rate);
      this.clock.fit(Math.max(...ends));
      this.player.how.step = 1 / Math.max(...data.sides.map(({ rate }) => rate));
      this.plot();
      if (first && !calm()) this.clock.play(0);
    }
    this.paint(true);
    this.clock.go();
  }

  plot() {
    const { sides } = this.data;
    sides.forEach((side, k) => {
      const x = side.time;
      const mean = (list) => list.reduce((sum, v) => sum + v, 0) / list.length;
      const [seen, true_] = [mean(side.seen), mean(side.true)].map((v) => numberText(v, 2));
      this.counts[k].show({
        lines: {
          bar: { x, low: side.low, high: side.high },
          true: { x, y: side.true },
          seen: { x, y: side.seen },
        },
        x: [0, x.at(-1)],
        words: `${side.key.toUpperCase()}: on average ${seen} specks counted in a picture, ${true_} true.`,
      });
    });
    const [a, b] = sides;
    this.region.show({
      lines: {
        a: { x: a.time, y: a.darker },
        b: { x: b.time, y: b.darker },
        true_a: { x: a.time, y: a.pigment },
        true_b: { x: b.time, y: b.pigment },
      },
      x: [0, Math.max(a.time.at(-1), b.time.at(-1))],
      words: "How much darker the region is than with the drive off, and the light that specks take there.",
    });
  }

  // ---- painting ----

  paint(anew = false) {
    const { data, clock, player } = this;
    if (!data) return;
    let news = anew;
    for (const view of this.views) news = view.paint(clock.time, this.marks.checked, anew) || news;
    player.show();
    if (!news || !data.filmed) return;
    this.mark(clock.time);
    if (!clock.running) player.say(player.how.format(clock.time), this.views.map((view) => view.words).join(" "));
  }

  /** Move the charts' cursors: seldom while the film plays, since a chart is drawn anew for it. */
  mark(time) {
    const now = performance.now();
    if (this.clock.running && now - (this.marked ?? 0) < CURSOR_MS) return;
    this.marked = now;
    for (const chart of [...this.counts, this.region]) chart.cursor(time);
  }

  // ---- what a person does ----

  move([x, y], done) {
    for (const view of this.views) Object.assign(view, { touched: true }).place(x, y);
    this.paint(true);
    if (done) this.send([["endoscope.region_x_percent", x], ["endoscope.region_y_percent", y]]);
  }

  send(pairs) {
    tell(this.model, { changes: pairs.map(([field, value]) => ({ side: "both", field, value })) });
  }

  remove() {
    this.clock.remove();
    for (const chart of [...this.counts, this.region]) chart.remove();
  }
}

export function render({ model }) {
  const films = new Films(model);
  films.take();
  model.on("packet", () => films.take());
  model.on("remove", () => films.remove());
  return films.root;
}
