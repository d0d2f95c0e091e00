// Events as numbered marks over the chart of time: dragged with the pointer, moved with arrow keys.

import { make } from "../../framework/make.js";

const STEP_S = 0.5; // one press of an arrow key
const ROW_PX = 22;
const WAYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 };

export class Marks {
  /** @param {(side: string, index: number, time: number) => void} move */
  constructor(move) {
    this.move = move;
    this.node = make("div", { className: "marks" });
    /** @type {any[]} */
    this.all = [];
  }

  take({ events, event_kinds: kinds, together, duration }) {
    this.duration = duration;
    const held = this.all.find(({ node }) => node.matches(":focus"));
    const lists = together ? [events[0]] : events;
    this.all = lists.flatMap((list, row) =>
      list.map(({ kind, values }, index) => {
        const words = kinds.find(({ id }) => id === kind).words;
        return this.mark(words, { row, index, kind, side: together ? "both" : "ab"[row], time: values.time_s });
      }),
    );
    this.node.replaceChildren(...this.all.map(({ node }) => node));
    this.place();
    if (!held) return;
    const near = this.all.filter(({ time }) => Math.abs(time - held.time) < 1e-6);
    near.find(({ side, kind }) => side === held.side && kind === held.kind)?.node.focus();
  }

  mark(words, one) {
    const apart = one.side !== "both";
    const letter = one.side.toUpperCase();
    const text = `${apart ? letter : ""}${one.index + 1}`;
    const label = `Event: ${words}${apart ? ` (${letter})` : ""}`;
    const node = make("div", { className: "mark", tabIndex: 0, role: "slider", title: label, ariaLabel: label });
    node.append(make("span", { className: "badge" }, text));
    node.style.setProperty("--row", String(one.row));
    node.setAttribute("aria-valuemin", "0");
    node.setAttribute("aria-valuemax", String(this.duration));
    const made = Object.assign(one, { node, first: one.time });
    node.addEventListener("keydown", (event) => this.arrow(event, made));
    node.addEventListener("pointerdown", (event) => this.press(event, made));
    node.addEventListener("pointermove", (event) => this.drag(event, made));
    for (const end of ["pointerup", "pointercancel"]) node.addEventListener(end, () => this.drop(made));
    return made;
  }

  /** Put all marks where they belong on the chart. */
  place(chart = this.chart) {
    this.chart = chart;
    const box = chart?.box();
    if (!box) return;
    const { left, right, top, bottom } = box;
    for (const one of this.all) {
      const x = chart.px(Math.min(one.time, this.duration));
      one.node.hidden = x < left - 1 || x > right + 1;
      Object.assign(one.node.style, {
        left: `${x}px`,
        top: `${top + ROW_PX * one.row}px`,
        height: `${bottom - top - ROW_PX * one.row}px`,
      });
      one.node.setAttribute("aria-valuenow", String(one.time));
      one.node.setAttribute("aria-valuetext", `${Number(one.time.toFixed(2))} s`);
    }
  }

  put(one, time) {
    one.time = Math.min(this.duration, Math.max(0, Math.round(time * 10) / 10));
    this.place();
  }

  arrow(event, one) {
    const way = WAYS[event.key];
    if (!way) return;
    event.preventDefault();
    event.stopPropagation();
    this.put(one, one.time + way * STEP_S);
    this.send(one);
  }

  press(event, one) {
    event.preventDefault();
    event.stopPropagation();
    one.node.setPointerCapture(event.pointerId);
    one.node.focus();
    one.held = true;
  }

  drag(event, one) {
    if (one.held) this.put(one, this.chart.xOf(event, true));
  }

  drop(one) {
    if (!one.held) return;
    one.held = false;
    if (one.time !== one.first) this.send(one);
  }

  send(one) {
    one.first = one.time;
    this.move(one.side, one.index, one.time);
  }
}
