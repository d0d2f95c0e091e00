// The events as a list that can be changed: when, what, how much.

import { make } from "../framework/make.js";

// What is offered, and what each needs: [field, label, unit, first value, optional].
const SHARE = ["share_percent", "power", "%", 50];
const NEEDS = {
  "drive on": [],
  "drive off": [],
  power: [SHARE],
  occlusion: [["share_percent", "blocked", "%", 100]],
  "flow lost": [["flow_ml_min", "leak that is left", "mL/min", "", true]],
  "flow back": [],
  load: [
    ["force_g", "weight", "g", "", true],
    ["place_mm", "from the end", "mm", "", true],
  ],
  moved: [["place_mm", "from the end", "mm", 4]],
  "load off": [],
};
// Not an event of its own: a load as it was, at another place.
const MOVED = "moved";
const WORDS = {
  "drive on": "drive on",
  "drive off": "drive off",
  power: "power changes",
  occlusion: "mouth blocked",
  "flow lost": "flow lost",
  "flow back": "flow back",
  load: "load on the sleeve",
  moved: "needle moved in the wound",
  "load off": "load off",
};

export class EventList {
  /** @param {Function} send @param {() => number} now */
  constructor(send, now) {
    this.now = now;
    this.send = send;
    this.side = "both";
    this.lists = make("div", { className: "lists" });
    this.wrong = make("p", { className: "wrong", hidden: true, role: "alert" });
    this.node = make(
      "section",
      { className: "card events" },
      make("h2", {}, "Events"),
      make(
        "p",
        { className: "lead" },
        "What happens, and when. Drag the numbered marks in the plot, or change them here. A needle that is moved " +
        "in the wound is pressed at another place.",
      ),
      this.lists,
      this.wrong,
    );
  }

  take(head) {
    this.head = head;
    this.wrong.hidden = true;
    const key = JSON.stringify([head.events, head.together]);
    if (key === this.shown) return;
    this.shown = key;
    const held = this.node.getRootNode().activeElement?.id;
    const sides = head.together ? ["both"] : ["a", "b"];
    this.lists.replaceChildren(...sides.map((side, k) => this.list(side, head.events[k])));
    if (held && this.node.contains(this.node.querySelector(`#${CSS.escape(held)}`))) {
      this.node.querySelector(`#${CSS.escape(held)}`).focus();
    }
  }

  refuse(sentence) {
    this.wrong.textContent = sentence;
    this.wrong.hidden = !sentence;
  }

  list(side, events) {
    const rows = events.map((event, i) => this.row(side, events, event, i));
    const name = side === "both" ? "" : ` to ${side.toUpperCase()}`;
    const add = make("button", { type: "button", click: () => this.add(side, events) }, `Add an event${name}`);
    add.disabled = events.length >= this.head.most_events;
    const title =
      side === "both"
        ? null
        : make("h3", {}, make("span", { className: `letter ${side}` }, side.toUpperCase()), " Events");
    const items = rows.length
      ? make("ol", {}, ...rows)
      : make("p", { className: "none" }, "Nothing happens: all stays as it is set.");
    return make("div", {}, title, items, add);
  }

  row(side, events, event, i) {
    const id = `ev-${side}-${i}`;
    const change = (more) => this.send(side, events.map((e, k) => (k === i ? clean({ ...e, ...more }) : e)));
    const what = make("select", { id: `${id}-what`, ariaLabel: `Event ${i + 1}: what` });
    for (const kind of [...this.head.event_kinds, MOVED])
      what.append(make("option", { value: kind }, WORDS[kind] ?? kind));
    what.value = kindOf(event);
    what.addEventListener("change", () =>
      this.send(
        side,
        events.map((e, k) => (k === i ? fresh(e.time_s, what.value) : e)),
      ),
    );
    const time = number(`${id}-time`, `Event ${i + 1}: seconds`, event.time_s, (v) => change({ time_s: v ?? "" }), 0.5);
    const more = (NEEDS[kindOf(event)] ?? []).map(([field, label, unit, , optional]) =>
      make(
        "span",
        { className: "more" },
        number(`${id}-${field}`, `Event ${i + 1}: ${label}, ${unit}`, event[field], (v) => change({ [field]: v }), 1),
        make("span", {}, `${unit} ${label}${optional ? " (may stay empty)" : ""}`),
      ),
    );
    const away = make(
      "button",
      {
        type: "button",
        click: () =>
          this.send(
            side,
            events.filter((_, k) => k !== i),
          ),
      },
      "Remove",
    );
    away.setAttribute("aria-label", `Remove event ${i + 1}: ${WORDS[kindOf(event)]}`);
    return make(
      "li",
      {},
      make("span", { className: "badge", ariaHidden: "true" }, String(i + 1)),
      make("span", { className: "more" }, time, "s"),
      what,
      ...more,
      away,
    );
  }

  add(side, events) {
    const time = Math.round(2 * this.now()) / 2;
    this.send(side, [...events, fresh(time, "flow lost")]);
  }
}

/** What an event is called: a load that only has another place is a needle that was moved. */
export const kindOf = (event) =>
  event.what === "load" && event.place_mm !== undefined && event.force_g === undefined ? MOVED : event.what;

export const eventWords = (event) => WORDS[kindOf(event)] ?? event.what;

/** A new event with what it needs. */
function fresh(time, kind) {
  const out = { time_s: time, what: kind === MOVED ? "load" : kind };
  for (const [field, , , first] of NEEDS[kind] ?? []) if (first !== "") out[field] = first;
  return out;
}

/** An event without fields that were left empty. */
const clean = (event) => Object.fromEntries(Object.entries(event).filter(([, v]) => v !== null && v !== undefined));

function number(id, label, value, send, step) {
  const input = make("input", { type: "number", id, step, ariaLabel: label, value: value ?? "" });
  input.addEventListener("change", () => send(input.value === "" ? null : Number(input.value)));
  return input;
}
