// One control of each kind, as native inputs: each gives {node, show(value), input}.

import { make } from "./make.js";

const help = (control) => {
  if (!control.help) return [];
  const why = make("p", { className: "why", id: `why-${control.id}` });
  why.textContent = control.help;
  return [why];
};

// A slider over decades goes by the logarithm; what it gives is rounded to three figures.
const SCALES = {
  linear: { to: (value) => value, from: (place) => place },
  log: { to: Math.log10, from: (place) => Number((10 ** place).toPrecision(3)), step: 0.01 },
};

const numberControl = (control, send) => {
  const scale = SCALES[control.scale ?? "linear"];
  const typed = make("input", { type: "number", id: `n-${control.id}`, step: "any" });
  if (control.wide) typed.className = "wide";
  const slide = make("input", { type: "range", step: scale.step ?? control.step });
  const unit = control.unit ? ` in ${control.unit}` : "";
  slide.setAttribute("aria-label", `${control.label}${unit}, slider`);
  const head = make(
    "div",
    { className: "head" },
    make("label", { htmlFor: typed.id }, control.label),
    make("span", { className: "typed" }, typed, make("span", { className: "unit" }, control.unit)),
  );
  const limits = (value) => {
    slide.min = scale.to(Math.min(control.min, value));
    slide.max = scale.to(Math.max(control.max, value));
  };
  slide.addEventListener("input", () => {
    const value = scale.from(Number(slide.value));
    typed.value = value;
    send(value);
  });
  typed.addEventListener("change", () => send(typed.value === "" ? "" : Number(typed.value)));
  typed.addEventListener("keydown", (event) => {
    if (event.key === "Enter") event.preventDefault();
    if (event.key === "Enter") typed.dispatchEvent(new Event("change", { bubbles: true }));
  });
  const show = (value, from) => {
    limits(value);
    if (from !== "slider" || !isActive(slide)) slide.value = scale.to(value);
    // An answer to something else must not take away what is being typed.
    if (from !== "slider" || !isActive(typed)) typed.value = value;
    const text = `${value} ${control.unit}`.trim();
    slide.setAttribute("aria-valuetext", text);
  };
  return { node: make("div", {}, head, slide, ...help(control)), show, input: typed };
};

const isActive = (node) => node.getRootNode().activeElement === node;

const selectControl = (control, send) => {
  const select = make("select", { id: `s-${control.id}` });
  const groups = new Map();
  for (const option of control.options) {
    const item = make("option", { value: option.value }, option.label);
    if (!option.group) select.append(item);
    else {
      if (!groups.has(option.group)) {
        groups.set(option.group, make("optgroup", { label: option.group }));
        select.append(groups.get(option.group));
      }
      groups.get(option.group).append(item);
    }
  }
  select.addEventListener("change", () => send(select.value));
  const away = control.remove ? [removeButton(control, send)] : [];
  const head = make("div", { className: "head" }, make("label", { htmlFor: select.id }, control.label), ...away);
  const node = make("div", {}, head, select, ...help(control));
  const link = control.edit ? onward(control.edit) : null;
  return { node, show: (value) => (select.value = value), input: select, link };
};

// A button that sets a value, as an input does when it has changed.
const setButton = (id, className, label, set) => {
  const click = () => button.dispatchEvent(new Event("change", { bubbles: true }));
  const button = make("button", { type: "button", id, className, click }, label);
  button.addEventListener("change", set);
  return button;
};

const removeButton = ({ id, remove }, send) =>
  setButton(`x-${id}`, "remove", remove.label, () => send(remove.value));

// A button that puts something there; what then is chosen has its id, and so the keyboard stays.
const addControl = (control, send) => {
  const button = setButton(`s-${control.id}`, "add", control.label, () => send(control.adds));
  return { node: make("div", {}, button), show: () => {}, input: button };
};

// A link to another page, which takes along what is set here: the query of this page.
const onward = ({ href, label }) => {
  const link = make("a", { className: "onward", href }, label);
  const take = () => (link.href = href + window.location.search.replace("?", "&"));
  for (const moment of ["pointerdown", "focus", "click"]) link.addEventListener(moment, take);
  return link;
};

const choiceControl = (control, send) => {
  const name = make("span", { className: "name", id: `c-${control.id}` }, control.label);
  const set = make("div", { className: "segments" });
  set.setAttribute("role", "radiogroup");
  set.setAttribute("aria-labelledby", name.id);
  const radios = control.options.map((option) => {
    const radio = make("input", { type: "radio", name: control.id, value: option.value });
    radio.addEventListener("change", () => send(option.value));
    set.append(make("label", {}, radio, option.label));
    return radio;
  });
  const head = make("div", { className: "head" }, name);
  const node = make("div", {}, head, set, ...help(control));
  return { node, show: (value) => radios.forEach((r) => (r.checked = r.value === value)), input: set };
};

const switchControl = (control, send) => {
  const box = make("input", { type: "checkbox", id: `b-${control.id}` });
  box.addEventListener("change", () => send(box.checked));
  const head = make(
    "div",
    { className: "head" },
    make("label", { className: "switch", htmlFor: box.id }, box, control.label),
  );
  return { node: make("div", {}, head, ...help(control)), show: (v) => (box.checked = v), input: box };
};

const textControl = (control, send) => {
  const typed = make("input", { type: "text", id: `t-${control.id}`, autocomplete: "off" });
  typed.addEventListener("change", () => send(typed.value));
  typed.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    typed.dispatchEvent(new Event("change", { bubbles: true }));
  });
  const head = make("div", { className: "head" }, make("label", { htmlFor: typed.id }, control.label));
  const node = make("div", {}, head, typed, ...help(control));
  return { node, show: (value) => (typed.value = value), input: typed };
};

/** By a control's kind, what makes it. */
export const KINDS = {
  number: numberControl,
  select: selectControl,
  choice: choiceControl,
  switch: switchControl,
  text: textControl,
  add: addControl,
};
