// The controls: native buttons, ranges, radios and checkboxes with labels, built once.

import { draw, make } from "../make.js";
import { CAMERAS, END_ZOOM_MM } from "./camera.js";

const ICONS = {
  play: "M7 4.5v15l12.5-7.5z",
  pause: "M6.5 5h4v14h-4zM13.5 5h4v14h-4z",
  back: "M15.5 5.5v13L6.5 12z",
  forward: "M8.5 5.5v13l9-6.5z",
};

export const STEP_DEGREES = 15;

const TOGGLES = [
  ["trails", "Marker paths"],
  ["envelope", "Swept area"],
  ["nodes_shown", "Still points"],
  ["sleeve_shown", "Sleeve"],
  ["twist_lines", "Twist lines"],
  ["arrows", "Velocity arrows"],
  ["rigid_shown", "As if rigid"],
];

function icon(name) {
  return draw("svg", { viewBox: "0 0 24 24", "aria-hidden": "true" }, draw("path", { d: ICONS[name] }));
}

/**
 * Build all controls.
 * @param {object} act what the person does: set(name, value), togglePlay(), step(way), camera(name)
 * @returns {{bottom, show(view, phase), showPhase(degrees, quiet), showPlaying(playing)}}
 */
export function buildControls(act) {
  const views = radios("View", "camera", cameraChoices(), (name) => act.camera(name));
  const zooms = radios("Zoom", "zoom", zoomChoices(), (name) => act.set("zoom", name));
  const transport = buildTransport(act);
  const speed = range("Speed", { min: 0.1, max: 2, step: 0.1 }, (value) => act.set("speed", value), speedWords);
  const size = range("Motion", { min: 1, max: 40, step: 1 }, (value) => act.set("exaggeration", value), timesWords);
  const turn = range("Turn", { min: -180, max: 180, step: 1 }, (value) => act.turn(value, null), degreeWords);
  const roll = range("Roll", { min: -180, max: 180, step: 1 }, (value) => act.turn(null, value), degreeWords);
  const toggles = buildToggles(act);
  const more = disclosure(
    "Picture",
    make("div", { class: "bar" }, zooms.element, ...transport.steps),
    make("div", { class: "turning" }, speed.element, size.element, turn.element, roll.element),
    toggles.element,
    keysHelp(),
  );
  const bottom = make(
    "div",
    { class: "controls" },
    make("div", { class: "bar transport" }, transport.element, views.element, more.button),
    more.sheet,
  );
  return {
    bottom,
    show(view) {
      views.set(view.camera);
      zooms.set(view.zoom);
      speed.set(view.speed);
      size.set(view.exaggeration);
      turn.set(Math.round(view.yaw));
      roll.set(Math.round(view.pitch));
      toggles.set(view);
    },
    showPhase: transport.showPhase,
    showPlaying: transport.showPlaying,
  };
}

const cameraChoices = () =>
  Object.entries(CAMERAS).map(([name, { label, hint }]) => [name, label, hint]);
const zoomChoices = () => [
  ["whole", "Whole needle", ""],
  ["end", `Last ${END_ZOOM_MM} mm`, ""],
];
const speedWords = (value) => [`${value.toFixed(1)} cycles/s`, `${value.toFixed(1)} cycles per second on the screen`];
const timesWords = (value) => [`×${value}`, `${value} times as large as it is`];
const degreeWords = (value) => [`${value}°`, `${value} degrees`];

function radios(legend, name, choices, chosen) {
  const inputs = new Map();
  const fieldset = make("fieldset", { class: "segments" }, make("legend", { class: "sr" }, legend));
  for (const [value, label, hint] of choices) {
    const input = make("input", { type: "radio", name, value, change: () => chosen(value) });
    inputs.set(value, input);
    const words = make("span", {}, label);
    if (hint) words.append(" ", make("small", {}, hint));
    fieldset.append(make("label", {}, input, words));
  }
  const set = (value) => {
    if (inputs.has(value)) inputs.get(value).checked = true;
    // A needle that was turned by hand is in none of the named views; "Free" shows only then.
    const free = inputs.get("free");
    if (free) free.parentElement.hidden = value !== "free";
  };
  return { element: fieldset, set };
}

function range(label, limits, changed, words) {
  const output = make("output", { "aria-hidden": "true" });
  const say = (value) => {
    const [short, long] = words(value);
    output.textContent = short;
    input.setAttribute("aria-valuetext", long);
  };
  const input = make("input", {
    type: "range",
    ...limits,
    input: () => {
      say(input.valueAsNumber);
      changed(input.valueAsNumber);
    },
  });
  const element = make("label", { class: "range" }, make("span", { class: "name" }, label), input, output);
  return {
    element,
    input,
    set(value) {
      input.value = value;
      say(value);
    },
  };
}

function buildTransport(act) {
  const button = (name, label, click) =>
    make("button", { type: "button", "aria-label": label, title: label, click }, icon(name));
  const play = make("button", { type: "button", class: "play", click: () => act.togglePlay() });
  const phase = range("Phase", { min: 0, max: 360, step: 1 }, (value) => act.setPhase(value), degreeWords);
  phase.element.classList.add("phase");
  const element = make(
    "div",
    { class: "transport-row" },
    play,
    phase.element,
  );
  const steps = [
    button("back", `Step back ${STEP_DEGREES} degrees`, () => act.step(-1)),
    button("forward", `Step forward ${STEP_DEGREES} degrees`, () => act.step(1)),
  ];
  let shown = null;
  return {
    element,
    steps,
    showPlaying(playing) {
      if (shown === playing) return;
      shown = playing;
      play.replaceChildren(icon(playing ? "pause" : "play"), playing ? "Pause" : "Play");
    },
    // While it plays the slider follows, but its text for screen readers keeps still.
    showPhase(degrees, moving) {
      const whole = Math.round(degrees) % 360;
      if (moving) {
        phase.input.value = whole;
        phase.element.lastChild.textContent = "";
      } else {
        phase.set(whole);
      }
    },
  };
}

function buildToggles(act) {
  const boxes = new Map();
  const element = make("div", { class: "toggles" });
  for (const [name, label] of TOGGLES) {
    const box = make("input", { type: "checkbox", change: () => act.set(name, box.checked) });
    boxes.set(name, box);
    element.append(make("label", { class: "toggle" }, box, make("span", {}, label)));
  }
  return { element, set: (view) => boxes.forEach((box, name) => (box.checked = view[name])) };
}

function disclosure(title, ...content) {
  const sheet = make("div", { class: "sheet", role: "group", "aria-label": title, hidden: true }, ...content);
  const toggle = () => {
    sheet.hidden = !sheet.hidden;
    button.setAttribute("aria-expanded", String(!sheet.hidden));
  };
  const button = make("button", { type: "button", class: "more", "aria-expanded": "false", click: toggle }, title);
  return { button, sheet };
}

function keysHelp() {
  const rows = [
    ["Space", "play or pause"],
    [", and .", `a step of ${STEP_DEGREES}° back or forward`],
    ["Arrow keys, on the picture", "turn and roll the needles"],
    ["Home, on the picture", "back to the first free view"],
  ];
  return make(
    "dl",
    { class: "keys" },
    ...rows.flatMap(([key, what]) => [make("dt", {}, key), make("dd", {}, what)]),
  );
}

/** What the signs in the picture mean; `neither` only where there is such a marker. */
export function makeLegend() {
  const item = (kind, words) =>
    make("span", { class: "item" }, make("i", { class: kind, "aria-hidden": "true" }), words);
  const neither = item("neither", "neither");
  const rigid = item("rigid", "as if rigid");
  rigid.hidden = true;
  const element = make(
    "p",
    { class: "legend" },
    item("full", "in step with the tip"),
    item("hollow", "out of step"),
    neither,
    item("still", "no sideways motion"),
    item("rest", "at rest"),
    rigid,
  );
  return {
    element,
    showNeither: (shown) => (neither.hidden = !shown),
    showRigid: (shown) => (rigid.hidden = !shown),
  };
}
