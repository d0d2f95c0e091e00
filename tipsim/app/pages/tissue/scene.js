// Both irises on one clock: pictures, the bar that plays, gap and rubbing over time.

import { Chart } from "../../framework/chart.js";
import { Clock, Player, calm } from "../../framework/clock.js";
import { make } from "../../framework/make.js";
import { tell } from "../../framework/messenger.js";
import { numberText } from "../../framework/numbers.js";
import { decode } from "../../framework/packet.js";
import { IrisSection, contactsText } from "./section.js";

const STEP_S = 0.05;
/** @type {[number, string][]} */
const SPEEDS = [[1, "Real time"], [1 / 4, "¼×"], [1 / 20, "1/20×"]];

const LEGEND =
  "Left: side view; the dashed line is where the iris is nearest. Right: cut across there, seen from the tip, the " +
  "iris below. Gap and flutter are to scale. The vibration is to scale in size and slowed down on a clock of its " +
  "own. Below a gap of 0 the iris is pressed on; strokes at the foot of the chart are contacts.";

/** How much more A's iris was rubbed than B's by a sample: only this ratio is known, no work. */
function rubbedText(sides, i) {
  const [a, b] = sides.map(({ rubbed }) => rubbed[i]);
  if (sides.some(({ held }) => held)) return "Rubbing is not compared: a motion is outside the model's range.";
  if (!a && !b) return "Neither iris has been rubbed so far.";
  if (!b) return "Only A's iris has been rubbed so far.";
  return `So far A's iris has been rubbed ${numberText(a / b, 2)} times as much as B's.`;
}

class IrisView {
  constructor(model) {
    this.model = model;
    this.turn = 0;
    this.clock = new Clock((seconds) => this.paint(seconds), { rate: 1 / 4 });
    this.player = new Player(this.clock, {
      calm: true,
      step: STEP_S,
      fine: 0.01,
      steps: ["50 milliseconds back", "50 milliseconds on"],
      speeds: SPEEDS,
      format: (time) => `${time.toFixed(2)} s`,
    });
    const button = (words, click, title = "") => make("button", { type: "button", title, click }, words);
    this.next = button("Next contact", () => this.player.seek(this.contact()));
    const again = "Another run of the same flutter, the same for A and B";
    this.player.node.append(this.next, button("New random run", () => this.draw(), again));
    this.sections = ["a", "b"].map((key) => new IrisSection(key));
    this.ratio = make("p", { className: "ratio" });
    this.charts = ["gap", "rubbed"].map((name) => {
      return new Chart(`tissue.${name}`, { seek: (time) => this.player.seek(time) });
    });
    this.root = make(
      "div",
      { className: "scene", keydown: (event) => this.player.key(event) },
      make("h2", {}, "Iris beside the sleeve"),
      make("div", { className: "two" }, ...this.sections.map(({ node }) => node)),
      this.ratio,
      make("p", { className: "note" }, LEGEND),
      this.player.node,
      ...this.charts.map(({ node }) => node),
    );
    this.clock.watch(this.root);
  }

  // ---- a new setting ----

  take() {
    if (!this.model.packet?.byteLength) return;
    const first = !this.data;
    this.data = decode(this.model.packet);
    const { sides, seconds, time } = this.data;
    this.clock.fit(seconds);
    this.sections.forEach((section, k) => section.take(this.data, sides[k]));
    const drawn = sides.filter(({ held }) => !held);
    const lines = (name) => Object.fromEntries(drawn.map((side) => [side.key, { x: time, y: side[name] }]));
    const counted = ({ key, starts }) =>
      `${key.toUpperCase()}: ${contactsText(starts.length)} over ${seconds} seconds.`;
    const words = [...drawn.map(counted), rubbedText(sides, time.length - 1)].join(" ");
    const ticks = sides.flatMap(({ key, starts }) => [...starts].map((i) => ({ x: time[i], side: key })));
    const [gap, rubbed] = this.charts;
    gap.show({ lines: lines("gap"), levels: [{ y: 0 }], ticks, words, x: [0, seconds] });
    rubbed.show({ lines: lines("rubbed"), words, x: [0, seconds] });
    if (first && !calm()) this.clock.play(0);
    this.spoken = null;
    this.paint(0);
  }

  // ---- painting: gives whether there is more to move ----

  paint(seconds) {
    const { data, clock } = this;
    if (!data) return false;
    const i = Math.min(data.time.length - 1, Math.floor(clock.time / data.step + 1e-6));
    const moments = data.sides.map((side) => {
      const contacts = side.starts.filter((start) => start <= i).length;
      return { gap: side.gap[i], touching: Boolean(side.touching[i]), contacts };
    });
    this.ratio.textContent = rubbedText(data.sides, i);
    if (clock.running) this.turn += seconds / clock.rate;
    this.sections.forEach((section, k) => section.show(moments[k], this.turn));
    for (const chart of this.charts) chart.cursor(clock.time);
    this.player.show();
    this.next.disabled = this.contact() === null;
    if (!clock.running && this.spoken !== clock.time) this.speak(moments);
    return false;
  }

  /** Start of the next contact of either side, or null. */
  contact() {
    const { sides, step } = this.data;
    const starts = sides.flatMap((side) => [...side.starts].map((i) => i * step));
    const later = starts.filter((time) => time > this.clock.time + 1e-3);
    return later.length ? Math.min(...later) : null;
  }

  speak(moments) {
    this.spoken = this.clock.time;
    const time = `${this.clock.time.toFixed(2)} seconds`;
    const words = moments.map((now, k) => {
      const where = now.touching ? "the iris touches" : `gap ${now.gap.toFixed(2)} mm`;
      const { held } = this.data.sides[k];
      return `${"AB"[k]}: ${held || `${where}, ${contactsText(now.contacts)} so far`}`;
    });
    this.sections.forEach((section, k) => section.describe(`Needle, sleeve, incision and iris of ${words[k]}.`));
    const said = `${time}. ${words.join(". ")}. ${this.ratio.textContent}`;
    this.player.say(said, said);
  }

  draw() {
    tell(this.model, { changes: [{ side: "both", field: "seed", value: this.data.next_seed }] });
  }

  remove() {
    this.clock.remove();
    for (const chart of this.charts) chart.remove();
  }
}

export function render({ model }) {
  const view = new IrisView(model);
  view.take();
  model.on("packet", () => view.take());
  model.on("remove", () => view.remove());
  return view.root;
}
