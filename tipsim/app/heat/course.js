// Temperature over time: peaks of both needles, limits as lines, events that can be dragged.

import { draw, make } from "../framework/make.js";
import { eventWords } from "./events.js";
import { between } from "./packet.js";
import { Plane, PLOT, rangeOf } from "./plane.js";

const COURSE_HEIGHT = 250;
const TABLE_ROWS = 12;
const STEP_S = 0.5; // one press of an arrow key
const LINES = { sleeve: "sleeve, outside", metal: "metal", wound: "tissue", chamber: "water in the chamber" };
const CLASSES = { sleeve: "pressed", metal: "layer-metal", wound: "layer-near", chamber: "layer-annulus" };
// Words at the lines stand apart: the standard's at the left, all others at the right.
const AT_LEFT = "contact.";

export class Course {
  constructor({ seek, move }) {
    this.seek = seek;
    this.move = move;
    this.svg = draw("svg", { role: "group", class: "plot course", "aria-label": "Temperature over time, with events" });
    this.svg.addEventListener("pointerdown", (event) => this.press(event));
    this.svg.addEventListener("pointermove", (event) => this.drag(event));
    for (const end of ["pointerup", "pointercancel"]) this.svg.addEventListener(end, () => this.drop());
    this.key = make("p", { className: "key" });
    this.note = make("p", { className: "note" });
    this.body = make("tbody", {});
    this.details = make("details", {}, make("summary", {}, "These lines as a table"), this.table());
    this.details.addEventListener("toggle", () => this.fill());
    this.node = make(
      "section",
      { className: "card" },
      make("h2", {}, "Over time"),
      this.svg,
      this.key,
      this.note,
      this.details,
    );
    this.handles = [];
  }

  take(head, width) {
    this.head = head;
    this.width = width;
    const curves = head.sides.flatMap((side) => Object.values(side.curves).filter(Boolean));
    const range = rangeOf(head.scale, curves.map((c) => Math.max(...c)));
    this.plane = new Plane(width, COURSE_HEIGHT, [0, head.duration], range);
    this.now = draw("line", { y1: PLOT.top, y2: COURSE_HEIGHT - PLOT.bottom, class: "now" });
    this.marks = draw("g");
    this.svg.setAttribute("viewBox", `0 0 ${width} ${COURSE_HEIGHT}`);
    this.svg.replaceChildren(
      draw("title", {}, this.words()),
      ...this.plane.frame("time, s", "hottest, °C"),
      ...this.limits(),
      ...this.lines(),
      ...this.limitWords(),
      this.now,
      this.marks,
    );
    this.keys();
    this.events();
    this.fill();
    const averaged = head.sides.some((side) => side.averaged);
    this.note.hidden = !averaged;
    this.note.textContent = "The drive pulses. These lines go by its mean power; single pulses are not drawn.";
  }

  table() {
    this.columns = make("tr", {});
    const table = make(
      "table",
      {},
      make("caption", {}, "Hottest place, °C"),
      make("thead", {}, this.columns),
      this.body,
    );
    return make(
      "div",
      { className: "scroll", tabIndex: 0, role: "region", ariaLabel: "Temperatures over time" },
      table,
    );
  }

  /** A dozen moments of the lines, each needle as far as it was computed. */
  fill() {
    if (!this.details.open || !this.head) return;
    const { curve_times: times, duration, sides } = this.head;
    const at = (values, t) => {
      if (t > times[values.length - 1] + 1e-6) return "–";
      const [i, w] = between(times, values.length, t);
      return ((1 - w) * values[i] + w * values[Math.min(i + 1, values.length - 1)]).toFixed(1);
    };
    const lines = sides.flatMap(({ key, curves }) =>
      Object.entries(curves)
        .filter(([, values]) => values)
        .map(([name, values]) => ({ title: `${key.toUpperCase()}, ${LINES[name]}`, values })),
    );
    this.columns.replaceChildren(
      ...["Seconds", ...lines.map(({ title }) => title)].map((title) => make("th", { scope: "col" }, title)),
    );
    const rows = Array.from({ length: TABLE_ROWS + 1 }, (_, k) => {
      const t = (k / TABLE_ROWS) * duration;
      const cells = lines.map(({ values }) => at(values, t));
      return make(
        "tr",
        {},
        make("th", { scope: "row" }, String(Number(t.toFixed(2)))),
        ...cells.map((text) => make("td", {}, text)),
      );
    });
    this.body.replaceChildren(...rows);
  }

  lines() {
    const { head, plane } = this;
    return head.sides.flatMap((side) => {
      const out = Object.entries(side.curves)
        .filter(([, values]) => values)
        .map(([name, values]) =>
          plane.line(
            values.map((_, i) => head.curve_times[i]),
            values,
            `line ${side.key} ${CLASSES[name]}`,
          ),
        );
      if (side.boils) {
        const [x, y] = [plane.x(side.boiled), COURSE_HEIGHT - PLOT.bottom - (side.key === "a" ? 20 : 6)];
        out.push(
          draw("line", { x1: x, x2: x, y1: PLOT.top, y2: COURSE_HEIGHT - PLOT.bottom, class: `boil ${side.key}` }),
        );
        out.push(draw("text", { x: x + 5, y, class: "limit" }, `${side.key.toUpperCase()} boils: the model ends`));
      }
      return out;
    });
  }

  shownLimits() {
    const [low, high] = this.plane.ys;
    return this.head.limits.filter(({ celsius }) => celsius > low && celsius < high);
  }

  limits() {
    const [left, right] = [PLOT.left, this.width - PLOT.right];
    return this.shownLimits().map(({ celsius, id }) => {
      const y = this.plane.y(celsius);
      return draw("line", {
        x1: left,
        x2: right,
        y1: y,
        y2: y,
        class: `limit-line ${id.startsWith(AT_LEFT) ? "" : "strong"}`,
      });
    });
  }

  /** Words at the limits, above the curves so that they can be read. */
  limitWords() {
    const { plane } = this;
    const [left, right] = [PLOT.left, this.width - PLOT.right];
    const out = [];
    const named = this.shownLimits().filter(
      ({ id }) => id !== "limit.collagen_from" && (this.width >= 480 || !id.startsWith(AT_LEFT)),
    );
    for (const standard of [true, false]) {
      let floor = Infinity;
      // From the coolest up, each a line's height above the one before.
      for (const { id, celsius, short } of named.filter((one) => one.id.startsWith(AT_LEFT) === standard)) {
        const text = id === "limit.collagen_to" ? `${this.collagen()} collagen shrinks` : `${celsius} ${short}`;
        const y = Math.min(plane.y(celsius) - 3, floor - 12);
        floor = y;
        out.push(
          draw("text", { x: standard ? left + 4 : right - 4, y, class: standard ? "limit" : "limit end" }, text),
        );
      }
    }
    return out;
  }

  collagen() {
    const from = this.head.limits.find(({ id }) => id === "limit.collagen_from");
    const to = this.head.limits.find(({ id }) => id === "limit.collagen_to");
    return `${from.celsius} to ${to.celsius}`;
  }

  keys() {
    const there = Object.keys(LINES).filter((name) => this.head.sides.some((side) => side.curves[name]));
    const sample = (name) =>
      draw(
        "svg",
        { class: "sample", viewBox: "0 0 26 8", "aria-hidden": "true" },
        draw("line", { x1: 0, x2: 26, y1: 4, y2: 4, class: `line ${name}` }),
      );
    this.key.replaceChildren(
      ...["a", "b"].map((key) => make("span", {}, sample(key), `needle ${key.toUpperCase()}`)),
      ...there.map((name) => make("span", {}, sample(`plain ${CLASSES[name]}`), LINES[name])),
    );
  }

  words() {
    const parts = this.head.sides.map((side) => {
      const tops = Object.entries(side.curves).filter(([, values]) => values);
      const words = tops.map(([name, values]) => `${LINES[name]} up to ${Math.max(...values).toFixed(1)} °C`);
      return `Needle ${side.key.toUpperCase()}: ${words.join("; ")}.`;
    });
    return `Temperature over ${this.head.duration} seconds. ${parts.join(" ")}`;
  }

  // ---- events ----

  events() {
    const lists = this.head.together ? [this.head.events[0]] : this.head.events;
    const held = this.moved ?? null;
    this.moved = null;
    this.handles = lists.flatMap((list, k) => list.map((event, i) => this.handle(event, k, i)));
    this.marks.replaceChildren(...this.handles.map(({ node }) => node));
    if (!held) return;
    const again = this.handles.find(
      ({ side, event }) => side === held.side && event.what === held.what && Math.abs(event.time_s - held.time) < 1e-6,
    );
    again?.node.focus();
  }

  handle(event, k, i) {
    const side = this.head.together ? "both" : "ab"[k];
    const of = this.head.together ? "" : ` (${"AB"[k]})`;
    const node = draw("g", {
      class: "event",
      tabindex: 0,
      role: "slider",
      "aria-valuemin": 0,
      "aria-valuemax": this.head.duration,
    });
    node.setAttribute("aria-label", `Event: ${eventWords(event)}${of}`);
    const line = draw("line", { y1: PLOT.top + 8, y2: COURSE_HEIGHT - PLOT.bottom });
    const tag = draw("rect", { width: 18, height: 18, rx: 4, x: -9, y: -9 });
    const text = draw("text", { class: "mid", y: 4 }, this.head.together ? String(i + 1) : `${"AB"[k]}${i + 1}`);
    const top = draw("g", {}, tag, text);
    node.append(draw("title", {}, `${eventWords(event)}${of}`), line, top);
    const one = { node, line, top, event, side, index: i, row: k };
    node.addEventListener("keydown", (pressed) => this.arrow(pressed, one));
    this.put(one, event.time_s);
    return one;
  }

  put(one, time) {
    const x = this.plane.x(Math.min(time, this.head.duration));
    one.time = time;
    one.line.setAttribute("x1", x);
    one.line.setAttribute("x2", x);
    one.top.setAttribute("transform", `translate(${x} ${PLOT.top + 10 + 20 * one.row})`);
    one.node.setAttribute("aria-valuenow", time);
    one.node.setAttribute("aria-valuetext", `${Number(time.toFixed(2))} s`);
  }

  arrow(pressed, one) {
    const ways = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 };
    const way = ways[pressed.key];
    if (!way) return;
    pressed.preventDefault();
    pressed.stopPropagation();
    this.put(one, this.clamped(one.time + way * STEP_S));
    this.send(one);
  }

  clamped(time) {
    return Math.min(this.head.duration, Math.max(0, Math.round(time * 10) / 10));
  }

  send(one) {
    this.moved = { side: one.side, what: one.event.what, time: one.time };
    this.move(one.side, one.index, one.time);
  }

  timeOf(event) {
    const box = this.svg.getBoundingClientRect();
    return this.plane.back(((event.clientX - box.left) / box.width) * this.width);
  }

  press(event) {
    const one = this.handles.find(({ top }) => top.contains(event.target));
    if (one) {
      this.held = one;
      this.svg.setPointerCapture(event.pointerId);
      one.node.focus();
    } else this.seeking = true;
    this.drag(event);
    event.preventDefault();
  }

  drag(event) {
    if (this.held) this.put(this.held, this.clamped(this.timeOf(event)));
    else if (this.seeking) this.seek(Math.min(this.head.duration, Math.max(0, this.timeOf(event))));
  }

  drop() {
    const one = this.held;
    this.held = null;
    this.seeking = false;
    if (one && one.time !== one.event.time_s) this.send(one);
  }

  // ---- now ----

  paint(t) {
    if (!this.plane) return;
    const x = this.plane.x(t);
    this.now.setAttribute("x1", x);
    this.now.setAttribute("x2", x);
  }
}
