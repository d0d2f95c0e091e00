// Temperature over time: peaks of both needles, limits as lines, events that can be dragged.

import { Chart } from "../framework/chart.js";
import { make } from "../framework/make.js";
import { eventWords } from "./events.js";
import { rangeOf } from "./range.js";

const STEP_S = 0.5; // one press of an arrow key
const SHORT = { sleeve: "sleeve", metal: "metal", wound: "tissue", chamber: "chamber" };
// Words at the lines stand apart: the standard's at the left, all others at the right.
const AT_LEFT = "contact.";
const WAYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 };

export class Course {
  constructor({ seek, move }) {
    this.move = move;
    this.chart = new Chart("heat.time", { seek, moved: () => this.place() });
    this.note = make(
      "p",
      { className: "note" },
      "The drive pulses. These lines go by its mean power; single pulses are not drawn.",
    );
    this.node = make(
      "section",
      { className: "card course" },
      make("h2", {}, "Over time"),
      this.chart.node,
      this.note,
    );
    this.handles = [];
  }

  take(head) {
    this.head = head;
    /** @type {Record<string, import("../framework/chart_data.js").Curve>} */
    const lines = {};
    for (const { key, curves } of head.sides) {
      for (const [name, y] of Object.entries(curves)) {
        if (!y) continue;
        const x = head.curve_times.slice(0, y.length);
        lines[`${key}_${name}`] = { x, y, short: `${key.toUpperCase()} ${SHORT[name]}` };
      }
    }
    const peaks = Object.values(lines).map(({ y }) => Math.max(.../** @type {number[]} */ (y)));
    const boiled = head.sides.filter((side) => side.boils);
    this.chart.show({
      lines,
      levels: this.levels(),
      marks: boiled.map(({ key, boiled: x }) => {
        return { x, label: `${key.toUpperCase()} boils: the model ends`, colour: key, dash: "dotted", foot: true };
      }),
      x: [0, head.duration],
      y: rangeOf(head.scale, peaks),
    });
    this.events();
    this.note.hidden = !head.sides.some((side) => side.averaged);
  }

  /** The limits; that of collagen is one stretch with one line of words. */
  levels() {
    const { limits } = this.head;
    const from = limits.find(({ id }) => id === "limit.collagen_from").celsius;
    return limits.map(({ id, celsius, short }) => {
      const left = id.startsWith(AT_LEFT);
      const words = { "limit.collagen_from": "", "limit.collagen_to": `${from} to ${celsius} collagen shrinks` };
      const label = words[id] ?? `${celsius} ${short}`;
      const look = left ? { colour: "line-strong", dash: "dotted", minor: true } : { colour: "bad", dash: "dashed" };
      return { y: celsius, label, left, ...look };
    });
  }

  // ---- events ----

  events() {
    const lists = this.head.together ? [this.head.events[0]] : this.head.events;
    const held = this.moved ?? null;
    this.moved = null;
    this.handles = lists.flatMap((list, k) => list.map((event, i) => this.handle(event, k, i)));
    this.chart.over.replaceChildren(...this.handles.map(({ node }) => node));
    this.place();
    if (!held) return;
    const same = ({ side, event }) =>
      side === held.side && event.what === held.what && Math.abs(event.time_s - held.time) < 1e-6;
    this.handles.find(same)?.node.focus();
  }

  handle(event, k, i) {
    const { together, duration } = this.head;
    const words = `${eventWords(event)}${together ? "" : ` (${"AB"[k]})`}`;
    const tag = make("span", {}, together ? String(i + 1) : `${"AB"[k]}${i + 1}`);
    const node = make("div", { className: "event", tabIndex: 0, role: "slider", title: words }, tag);
    node.setAttribute("aria-label", `Event: ${words}`);
    node.setAttribute("aria-valuemin", "0");
    node.setAttribute("aria-valuemax", String(duration));
    node.style.setProperty("--row", String(k));
    const side = together ? "both" : "ab"[k];
    const one = { node, event, side, index: i, time: event.time_s, held: false };
    node.addEventListener("keydown", (pressed) => this.arrow(pressed, one));
    node.addEventListener("pointerdown", (pressed) => {
      one.held = true;
      node.setPointerCapture(pressed.pointerId);
      node.focus();
      pressed.preventDefault();
    });
    node.addEventListener("pointermove", (moved) => {
      if (one.held) this.put(one, this.clamped(/** @type {number} */ (this.chart.xOf(moved, true))));
    });
    for (const end of ["pointerup", "pointercancel"]) node.addEventListener(end, () => this.drop(one));
    this.put(one, event.time_s);
    return one;
  }

  /** Place all handles where their times lie in the chart now. */
  place() {
    for (const one of this.handles) this.put(one, one.time);
  }

  put(one, time) {
    one.time = time;
    one.node.setAttribute("aria-valuenow", String(time));
    one.node.setAttribute("aria-valuetext", `${Number(time.toFixed(2))} s`);
    const box = this.chart.box();
    if (!box) return;
    const x = this.chart.px(Math.min(time, this.head.duration));
    one.node.hidden = x < box.left - 1 || x > box.right + 1;
    Object.assign(one.node.style, { left: `${x}px`, top: `${box.top}px`, height: `${box.height}px` });
  }

  arrow(pressed, one) {
    const way = WAYS[pressed.key];
    if (!way) return;
    pressed.preventDefault();
    pressed.stopPropagation();
    this.put(one, this.clamped(one.time + way * STEP_S));
    this.send(one);
  }

  clamped(time) {
    return Math.min(this.head.duration, Math.max(0, Math.round(time * 10) / 10));
  }

  drop(one) {
    one.held = false;
    if (one.time !== one.event.time_s) this.send(one);
  }

  send(one) {
    this.moved = { side: one.side, what: one.event.what, time: one.time };
    this.move(one.side, one.index, one.time);
  }

  // ---- now ----

  paint(t) {
    this.chart.cursor(t);
  }
}
