// The events as a list that can be changed: when, what, how much. What there is comes from the server.

import { make } from "../../framework/make.js";

const LEAD = "What happens, and when. Drag the numbered marks in the chart, or change them here. " +
  "A needle that is moved in the incision is pressed at another place.";
const number = (id, label, value, send, step) => {
  const input = make("input", { type: "number", id, step, ariaLabel: label, value: value ?? "" });
  input.addEventListener("change", () => send(input.value === "" ? undefined : Number(input.value)));
  return input;
};

/** An event without fields that were left empty. */
const clean = (event) => Object.fromEntries(Object.entries(event).filter(([, value]) => value !== undefined));

export class EventList {
  /** @param {(side: string, events: object[]) => void} send @param {() => number} now */
  constructor(send, now) {
    this.send = send;
    this.now = now;
    this.lists = make("div", { className: "lists" });
    this.wrong = make("p", { className: "wrong", hidden: true, role: "alert" });
    const lead = make("p", { className: "note" }, LEAD);
    this.node = make("section", { className: "events ready" }, make("h2", {}, "Events"), lead, this.lists, this.wrong);
  }

  take(run) {
    this.run = run;
    this.refuse("");
    const key = JSON.stringify([run.events, run.together]);
    if (key === this.shown) return;
    this.shown = key;
    this.show();
  }

  show() {
    const { events, together } = this.run;
    const root = /** @type {ShadowRoot} */ (this.node.getRootNode());
    const held = root.activeElement?.id;
    const sides = together ? ["both"] : ["a", "b"];
    this.lists.replaceChildren(...sides.map((side, k) => this.list(side, events[k])));
    const again = held && this.lists.querySelector(`#${CSS.escape(held)}`);
    if (again instanceof HTMLElement) again.focus();
  }

  /** Say what is wrong with a change; the list shows what is set. */
  refuse(sentence) {
    this.wrong.textContent = sentence;
    this.wrong.hidden = !sentence;
    if (sentence) this.show();
  }

  kind(id) {
    return this.run.event_kinds.find((kind) => kind.id === id);
  }

  list(side, events) {
    const rows = events.map((_, i) => this.row(side, events, i));
    const name = side === "both" ? "" : ` to ${side.toUpperCase()}`;
    const values = events.map((event) => event.values);
    const click = () => this.send(side, [...values, this.fresh("flow lost", Math.round(2 * this.now()) / 2)]);
    const disabled = events.length >= this.run.most_events;
    const add = make("button", { type: "button", disabled, click }, `Add an event${name}`);
    const letter = make("span", { className: `letter ${side}` }, side.toUpperCase());
    const title = name ? make("h3", {}, letter, " Events") : null;
    const none = make("p", { className: "note" }, "No events: the settings stay the same during the run.");
    return make("div", {}, title, rows.length ? make("ol", {}, ...rows) : none, add);
  }

  row(side, events, i) {
    const id = `ev-${side}-${i}`;
    const { values } = events[i];
    const { words, fields } = this.kind(events[i].kind);
    const swap = (one) => this.send(side, events.map((event, k) => (k === i ? one : event.values)));
    const change = (more) => swap(clean({ ...values, ...more }));
    const what = make("select", { id: `${id}-what`, ariaLabel: `Event ${i + 1}: what` });
    what.append(...this.run.event_kinds.map((kind) => make("option", { value: kind.id }, kind.words)));
    what.value = events[i].kind;
    what.addEventListener("change", () => swap(this.fresh(what.value, values.time_s)));
    const when = (time_s) => change({ time_s: time_s ?? "" });
    const time = number(`${id}-time`, `Event ${i + 1}: seconds`, values.time_s, when, 0.5);
    const more = fields.map(({ path, label, unit, first }) => {
      const set = (value) => change({ [path]: value });
      const input = number(`${id}-${path}`, `Event ${i + 1}: ${label}, ${unit}`, values[path], set, 1);
      const optional = first === null ? " (may stay empty)" : "";
      return make("span", { className: "more" }, input, make("span", {}, `${unit} ${label}${optional}`));
    });
    const remove = () => this.send(side, events.filter((_, k) => k !== i).map((event) => event.values));
    const ariaLabel = `Remove event ${i + 1}: ${words}`;
    return make(
      "li",
      {},
      make("span", { className: "badge", ariaHidden: "true" }, String(i + 1)),
      make("span", { className: "more" }, time, "s"),
      what,
      ...more,
      make("button", { type: "button", ariaLabel, click: remove }, "Remove"),
    );
  }

  /** A new event of a kind with what it needs. */
  fresh(id, time_s) {
    const { what, fields } = this.kind(id);
    const first = fields.filter((field) => field.first !== null).map((field) => [field.path, field.first]);
    return { time_s, what, ...Object.fromEntries(first) };
  }
}
