// Charts from one packet; where one moves with time, a bar plays it.

import { Chart } from "../../framework/chart.js";
import { Clock, Player } from "../../framework/clock.js";
import { make } from "../../framework/make.js";
import { decode } from "../../framework/packet.js";

/** @type {[number, string][]} */
const SPEEDS = [[1, "Real time"], [4, "4×"]];

class Curves {
  constructor(model) {
    this.model = model;
    /** @type {Map<string, Chart>} */
    this.charts = new Map();
    this.grid = make("div", { className: "two" });
    this.clock = new Clock(() => this.paint(), { rate: 4 });
    this.player = new Player(this.clock, {
      step: 0.5,
      steps: ["Half a second back", "Half a second on"],
      speeds: SPEEDS,
      label: "Moment",
      format: (time) => `${time.toFixed(1)} s`,
    });
    this.player.node.hidden = true;
    this.root = make(
      "div",
      { className: "scene", keydown: (event) => this.player.key(event) },
      this.player.node,
      this.grid,
    );
    this.clock.watch(this.root);
  }

  take() {
    if (!this.model.packet?.byteLength) return;
    const { charts, moving } = decode(this.model.packet);
    this.shown = charts;
    this.moving = moving;
    this.player.node.hidden = !moving;
    if (moving) {
      const end = moving.times[moving.times.length - 1];
      if (this.clock.end !== end) Object.assign(this.clock, { end, until: end, time: moving.begin });
    }
    for (const [name, data] of Object.entries(charts)) {
      if (!this.charts.has(name)) this.add(name);
      if (name !== moving?.chart) this.charts.get(name).show(data);
    }
    this.paint(true);
  }

  add(name) {
    const seeks = name === this.moving?.over;
    const chart = new Chart(name, seeks ? { seek: (time) => this.player.seek(time) } : {});
    this.charts.set(name, chart);
    this.grid.append(chart.node);
  }

  /** Show the moment in the chart that moves. */
  paint(anew = false) {
    const { moving, clock } = this;
    if (!moving) return;
    const last = moving.times.length - 1;
    const i = Math.round((clock.time / clock.end) * last);
    /** @type {Record<string, { x: ArrayLike<number>, y: ArrayLike<number> }>} */
    const at = {};
    for (const [name, { x, rows }] of Object.entries(moving.lines)) {
      at[name] = { x, y: rows.subarray(i * x.length, (i + 1) * x.length) };
    }
    const data = this.shown[moving.chart];
    const chart = this.charts.get(moving.chart);
    const now = { ...data, lines: { ...data.lines, ...at } };
    if (clock.running && !anew) chart.animate(now);
    else chart.show(now);
    this.charts.get(moving.over).cursor(clock.time);
    this.player.show();
    const faces = Object.entries(at).map(([name, { y }]) => `${name.toUpperCase()} ${y[0].toFixed(1)} °C`).join(", ");
    if (!clock.running) this.player.say(`${clock.time.toFixed(1)} seconds: ${faces} at the face`, `${faces}.`);
  }

  remove() {
    this.clock.remove();
    for (const chart of this.charts.values()) chart.remove();
  }
}

export function render({ model }) {
  const curves = new Curves(model);
  curves.take();
  model.on("packet", () => curves.take());
  model.on("remove", () => curves.remove());
  return curves.root;
}
