// The form beside the stage, built from the server's description with native inputs.

import { Address } from "./address.js";
import { make } from "./make.js";
import { Messenger } from "./messenger.js";

// ---- one control of each kind: each gives {node, show(value)} ----

const help = (control, head) => {
  if (!control.help) return [];
  const why = make("p", { className: "why", hidden: true, id: `why-${control.id}` });
  why.textContent = control.help;
  const button = make("button", { type: "button", className: "ask" }, "?");
  button.setAttribute("aria-label", `About: ${control.label}`);
  button.setAttribute("aria-expanded", "false");
  button.setAttribute("aria-controls", why.id);
  button.addEventListener("click", () => {
    why.hidden = !why.hidden;
    button.setAttribute("aria-expanded", String(!why.hidden));
  });
  head.append(button);
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
    if (event.key === "Enter") typed.dispatchEvent(new Event("change"));
  });
  const show = (value, from) => {
    limits(value);
    if (from !== "slider" || !isActive(slide)) slide.value = scale.to(value);
    // An answer to something else must not take away what is being typed.
    if (from !== "slider" || !isActive(typed)) typed.value = value;
    const text = `${value} ${control.unit}`.trim();
    slide.setAttribute("aria-valuetext", text);
  };
  return { node: make("div", {}, head, slide, ...help(control, head)), show, input: typed };
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
  const head = make("div", { className: "head" }, make("label", { htmlFor: select.id }, control.label));
  if (control.edit) head.append(onward(control.edit));
  const node = make("div", {}, head, select, ...help(control, head));
  return { node, show: (value) => (select.value = value), input: select };
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
  const node = make("div", {}, head, set, ...help(control, head));
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
  return { node: make("div", {}, head, ...help(control, head)), show: (v) => (box.checked = v), input: box };
};

const textControl = (control, send) => {
  const typed = make("input", { type: "text", id: `t-${control.id}`, autocomplete: "off" });
  typed.addEventListener("change", () => send(typed.value));
  typed.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    send(typed.value);
  });
  const head = make("div", { className: "head" }, make("label", { htmlFor: typed.id }, control.label));
  const node = make("div", {}, head, typed, ...help(control, head));
  return { node, show: (value) => (typed.value = value), input: typed };
};

const KINDS = {
  number: numberControl,
  select: selectControl,
  choice: choiceControl,
  switch: switchControl,
  text: textControl,
};

// ---- the whole form ----

class Form {
  constructor(model) {
    this.model = model;
    this.messenger = new Messenger(model, "seq", (on) => this.form.setAttribute("aria-busy", String(on)));
    this.address = new Address();
    this.parts = new Map();
    this.open = new Map();
    this.form = make("form", { noValidate: true });
    this.form.setAttribute("aria-label", model.name_of_form);
    this.form.addEventListener("submit", (event) => event.preventDefault());
    // The end of a drag, or of anything else that was set: the next change is a step of its own.
    this.form.addEventListener("change", () => this.messenger.nextStep());
    this.form.addEventListener("keydown", (event) => this.key(event));
    this.said = make("p", { className: "said" });
    this.said.setAttribute("role", "status");
    this.groups = make("div", { style: "display: contents" });
    this.form.append(this.groups, this.actions(), this.said);
  }

  actions() {
    const button = (label, act) => {
      const node = make("button", { type: "button" }, label);
      node.addEventListener("click", act);
      return node;
    };
    const sends = this.model.actions.map(({ field, label }) => button(label, () => this.send(field)));
    // Shown where the page keeps what was set before.
    this.steps = { undo: button("Undo", () => this.send("undo")), redo: button("Redo", () => this.send("redo")) };
    const copies = this.model.copies ? [button("Copy link", () => this.copy())] : [];
    return make("div", { className: "actions" }, ...sends, ...Object.values(this.steps), ...copies);
  }

  send(field) {
    this.messenger.nextStep();
    this.messenger.change(field, "both", field, true);
    this.messenger.nextStep();
  }

  /** Ctrl+Z and Ctrl+Y, but for what is being typed: there the browser takes back letters. */
  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const typing = event.target.matches("input[type=number], input[type=text]");
    const letter = event.key.toLowerCase();
    const way = letter === "y" || (letter === "z" && event.shiftKey) ? "redo" : letter === "z" ? "undo" : "";
    if (!way || typing || this.steps[way].disabled || this.steps[way].hidden) return;
    event.preventDefault();
    this.send(way);
  }

  async copy() {
    this.address.flush();
    try {
      await navigator.clipboard.writeText(window.location.href);
      this.said.textContent = "Link copied: it holds everything that is set here.";
    } catch {
      this.said.textContent = "Copy the address of this page: it holds everything that is set here.";
    }
  }

  build() {
    const held = this.form.getRootNode().activeElement?.id;
    for (const d of this.groups.querySelectorAll("details.group")) this.open.set(d.id, d.open);
    this.parts.clear();
    this.groups.replaceChildren(...this.model.schema.map((group) => this.group(group)));
    if (held) this.groups.querySelector(`#${CSS.escape(held)}`)?.focus();
  }

  group(group) {
    const controls = group.controls.map((control) => this.control(control));
    if (group.open === null) {
      return make("fieldset", {}, make("legend", {}, group.title), ...controls);
    }
    const open = this.open.get(`g-${group.id}`) ?? group.open;
    const box = make("details", { className: "group", id: `g-${group.id}`, open });
    box.append(make("summary", {}, group.title), make("div", { className: "inside" }, ...controls));
    return box;
  }

  control(control) {
    const send = (value) =>
      this.messenger.change(control.id, control.side, control.field, value);
    const part = KINDS[control.kind](control, send);
    const wrong = make("p", { className: "wrong", hidden: true, id: `w-${control.id}` });
    wrong.setAttribute("role", "alert");
    part.input.setAttribute("aria-describedby", wrong.id);
    part.show(control.value);
    part.wrong = wrong;
    this.parts.set(control.id, part);
    return make("div", { className: "control" }, part.node, wrong);
  }

  // What the server says: values as they are now, what it refused, the link. The link alone when
  // only the look of the stage has changed.
  answered(reply) {
    this.messenger.heard(reply.seq ?? 0);
    if (reply.values) this.show(reply.values, reply.errors ?? {});
    for (const [way, button] of Object.entries(this.steps)) {
      if (reply.values) button.hidden = reply[way] === undefined;
      if (reply.values) button.disabled = !reply[way];
    }
    if (reply.notice !== undefined) this.said.textContent = reply.notice;
    if (reply.link !== undefined) this.address.show(reply.link);
    this.messenger.flush();
  }

  show(values, errors) {
    for (const [id, part] of this.parts) {
      const sentence = errors[id];
      part.wrong.hidden = !sentence;
      part.wrong.textContent = sentence ?? "";
      // A refused text stays to be fixed, and one that is still on its way is newer.
      if (!sentence && id in values && !this.messenger.open(id)) part.show(values[id], "slider");
    }
  }
}

export function render({ model }) {
  const form = new Form(model);
  form.build();
  form.answered(model.reply);
  model.on("schema", () => form.build());
  model.on("reply", () => form.answered(model.reply));
  return form.form;
}
