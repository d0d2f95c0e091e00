// The form beside the stage, built from the server's description with native inputs.
// One message at a time: the next one leaves when the answer to the last has come.

const el = (tag, attributes = {}, ...children) => {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name in node && name !== "list" && name !== "form") node[name] = value;
    else node.setAttribute(name, value);
  }
  node.append(...children);
  return node;
};

// ---- messages ----

class Messenger {
  constructor(model) {
    this.model = model;
    this.sent = 0;
    this.answered = 0;
    this.waiting = new Map();
  }

  // A newer value of the same control takes the place of one that has not left yet.
  change(id, side, field, value) {
    this.waiting.set(id, { side, field, value });
    this.flush();
  }

  answer(seq) {
    this.answered = Math.max(this.answered, seq);
    this.flush();
  }

  flush() {
    if (!this.waiting.size || this.sent > this.answered) return;
    const changes = [...this.waiting.values()];
    this.waiting.clear();
    this.sent += 1;
    this.model.send_msg({ seq: this.sent, changes });
  }
}

// ---- one control of each kind: each gives {node, show(value)} ----

const help = (control, head) => {
  if (!control.help) return [];
  const why = el("p", { className: "why", hidden: true, id: `why-${control.id}` });
  why.textContent = control.help;
  const button = el("button", { type: "button", className: "help" }, "?");
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
  const typed = el("input", { type: "number", id: `n-${control.id}`, step: "any" });
  if (control.wide) typed.className = "wide";
  const slide = el("input", { type: "range", step: scale.step ?? control.step });
  const unit = control.unit ? ` in ${control.unit}` : "";
  slide.setAttribute("aria-label", `${control.label}${unit}, slider`);
  const head = el(
    "div",
    { className: "head" },
    el("label", { htmlFor: typed.id }, control.label),
    el("span", { className: "typed" }, typed, el("span", { className: "unit" }, control.unit)),
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
    typed.value = value;
    const text = `${value} ${control.unit}`.trim();
    slide.setAttribute("aria-valuetext", text);
  };
  return { node: el("div", {}, head, slide, ...help(control, head)), show, input: typed };
};

const isActive = (node) => node.getRootNode().activeElement === node;

const selectControl = (control, send) => {
  const select = el("select", { id: `s-${control.id}` });
  const groups = new Map();
  for (const option of control.options) {
    const item = el("option", { value: option.value }, option.label);
    if (!option.group) select.append(item);
    else {
      if (!groups.has(option.group)) {
        groups.set(option.group, el("optgroup", { label: option.group }));
        select.append(groups.get(option.group));
      }
      groups.get(option.group).append(item);
    }
  }
  select.addEventListener("change", () => send(select.value));
  const head = el("div", { className: "head" }, el("label", { htmlFor: select.id }, control.label));
  if (control.edit) head.append(onward(control.edit));
  const node = el("div", {}, head, select, ...help(control, head));
  return { node, show: (value) => (select.value = value), input: select };
};

// A link to another page, which takes along what is set here: the query of this page.
const onward = ({ href, label }) => {
  const link = el("a", { className: "onward", href }, label);
  const take = () => (link.href = href + window.location.search.replace("?", "&"));
  for (const moment of ["pointerdown", "focus", "click"]) link.addEventListener(moment, take);
  return link;
};

const choiceControl = (control, send) => {
  const name = el("span", { className: "name", id: `c-${control.id}` }, control.label);
  const set = el("div", { className: "segments" });
  set.setAttribute("role", "radiogroup");
  set.setAttribute("aria-labelledby", name.id);
  const radios = control.options.map((option) => {
    const radio = el("input", { type: "radio", name: control.id, value: option.value });
    radio.addEventListener("change", () => send(option.value));
    set.append(el("label", {}, radio, option.label));
    return radio;
  });
  const head = el("div", { className: "head" }, name);
  const node = el("div", {}, head, set, ...help(control, head));
  return { node, show: (value) => radios.forEach((r) => (r.checked = r.value === value)), input: set };
};

const switchControl = (control, send) => {
  const box = el("input", { type: "checkbox", id: `b-${control.id}` });
  box.addEventListener("change", () => send(box.checked));
  const head = el(
    "div",
    { className: "head" },
    el("label", { className: "switch", htmlFor: box.id }, box, control.label),
  );
  return { node: el("div", {}, head, ...help(control, head)), show: (v) => (box.checked = v), input: box };
};

const textControl = (control, send) => {
  const typed = el("input", { type: "text", id: `t-${control.id}`, autocomplete: "off" });
  typed.addEventListener("change", () => send(typed.value));
  typed.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    send(typed.value);
  });
  const head = el("div", { className: "head" }, el("label", { htmlFor: typed.id }, control.label));
  const node = el("div", {}, head, typed, ...help(control, head));
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
    this.messenger = new Messenger(model);
    this.parts = new Map();
    this.open = new Map();
    this.form = el("form", { noValidate: true });
    this.form.setAttribute("aria-label", model.name_of_form);
    this.form.addEventListener("submit", (event) => event.preventDefault());
    this.said = el("p", { className: "said" });
    this.said.setAttribute("role", "status");
    this.groups = el("div", { style: "display: contents" });
    this.form.append(this.groups, this.actions(), this.said);
  }

  actions() {
    const button = (label, act) => {
      const node = el("button", { type: "button" }, label);
      node.addEventListener("click", act);
      return node;
    };
    const sends = this.model.actions.map(({ field, label }) =>
      button(label, () => this.messenger.change(field, "both", field, true)),
    );
    return el("div", { className: "actions" }, ...sends, button("Copy link", () => this.copy()));
  }

  async copy() {
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
      return el("fieldset", {}, el("legend", {}, group.title), ...controls);
    }
    const open = this.open.get(`g-${group.id}`) ?? group.open;
    const box = el("details", { className: "group", id: `g-${group.id}`, open });
    box.append(el("summary", {}, group.title), el("div", { className: "inside" }, ...controls));
    return box;
  }

  control(control) {
    const send = (value) =>
      this.messenger.change(control.id, control.side, control.field, value);
    const part = KINDS[control.kind](control, send);
    const wrong = el("p", { className: "wrong", hidden: true, id: `w-${control.id}` });
    wrong.setAttribute("role", "alert");
    part.input.setAttribute("aria-describedby", wrong.id);
    part.show(control.value);
    part.wrong = wrong;
    this.parts.set(control.id, part);
    return el("div", { className: "control" }, part.node, wrong);
  }

  // What the server says after a change: values as they are now, and what it refused.
  answered(reply) {
    const errors = reply.errors ?? {};
    for (const [id, part] of this.parts) {
      const sentence = errors[id];
      part.wrong.hidden = !sentence;
      part.wrong.textContent = sentence ?? "";
      // A refused text stays to be mended; everything else shows what is set.
      if (!sentence && reply.values && id in reply.values && !this.messenger.waiting.has(id)) {
        part.show(reply.values[id], "slider");
      }
    }
    if (reply.notice !== undefined) this.said.textContent = reply.notice;
    if (reply.link !== undefined) {
      const query = reply.link ? `?${reply.link}` : "";
      window.history.replaceState(window.history.state, "", window.location.pathname + query);
    }
    this.messenger.answer(reply.seq ?? 0);
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
