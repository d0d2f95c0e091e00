// The form beside the stage, built from the server's description with native inputs.

import { Address } from "./address.js";
import { KINDS } from "./control_kinds.js";
import { Glance } from "./glance.js";
import { make } from "./make.js";
import { Messenger } from "./messenger.js";
import { settingsTable } from "./settings_table.js";
import { Steps } from "./steps.js";

// Changes of everything at once.
const WHOLE = ["link", "undo", "redo", "reset"];

// Keys on a slider pressed sooner after one another than this are one step to take back.
const SAME_MS = 800;
// From so many on, folded groups lie together behind one click.
const MOST_FOLDED = 1;
const EXPLAIN = "Explain the settings";

// ---- the whole form ----

class Form {
  constructor(model) {
    this.model = model;
    this.messenger = new Messenger(model, "seq", (on) => this.form.setAttribute("aria-busy", String(on)));
    this.linked = window.location.search !== "";
    this.address = new Address();
    this.steps = new Steps(this);
    this.parts = new Map();
    this.open = new Map();
    this.form = make("form", { noValidate: true });
    this.form.setAttribute("aria-label", model.name_of_form);
    this.form.addEventListener("submit", (event) => event.preventDefault());
    // Anything that was set is a step of its own: neither the end of what came before it, such as a
    // drag, nor the beginning of what comes next.
    for (const first of [true, false]) {
      this.form.addEventListener("change", ({ target }) => target.type === "range" || this.messenger.nextStep(), first);
    }
    this.form.addEventListener("input", (event) => this.moved(event), true);
    for (const type of ["pointerdown", "pointerup"]) {
      this.form.addEventListener(type, () => (this.held = type === "pointerdown"), true);
    }
    this.form.addEventListener("keydown", (event) => this.key(event));
    this.said = make("p", { className: "said" });
    this.said.setAttribute("role", "status");
    this.groups = make("div", { style: "display: contents" });
    this.explain = make("button", { type: "button", className: "explain", click: () => this.explains() }, EXPLAIN);
    this.explain.setAttribute("aria-pressed", "false");
    this.seldom = make("div", { className: "actions" }, this.explain);
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
    const step = (label, way) => button(label, () => this.steps.go(way));
    this.ways = { undo: step("Undo", "undo"), redo: step("Redo", "redo") };
    for (const each of Object.values(this.ways)) each.hidden = true;
    // Reset is there with what can be reset.
    const [first, ...rest] = sends;
    this.reset = first;
    this.seldom.append(...rest);
    if (this.model.copies) this.seldom.append(button("Copy link", () => this.copy()));
    return make("div", { className: "actions" }, ...Object.values(this.ways), first ?? "");
  }

  /** A slider moves: by one drag, or by keys pressed soon after one another, it is one step. */
  moved({ target, timeStamp }) {
    if (target.type !== "range") return;
    const { target: before, time = 0 } = this.slid ?? {};
    if (target !== before || (!this.held && timeStamp - time > SAME_MS)) this.messenger.nextStep();
    this.slid = { target, time: timeStamp };
  }

  /** What each setting means, below it. */
  explains() {
    const shown = this.form.classList.toggle("explained");
    this.explain.setAttribute("aria-pressed", String(shown));
  }

  send(field, value = true) {
    // What was refused does not outlive a change of everything.
    for (const part of this.parts.values()) part.refused = "";
    this.messenger.nextStep();
    this.messenger.change(field, "both", field, value);
    this.messenger.nextStep();
  }

  /** Ctrl+Z and Ctrl+Y, but for what is being typed: there the browser takes back letters. */
  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const typing = event.target.matches("input[type=number], input[type=text]");
    const letter = event.key.toLowerCase();
    const way = letter === "y" || (letter === "z" && event.shiftKey) ? "redo" : letter === "z" ? "undo" : "";
    if (!way || typing || this.ways[way].disabled || this.ways[way].hidden) return;
    event.preventDefault();
    this.steps.go(way);
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
    this.links = [];
    const made = this.model.schema.map((group) => [group, this.group(group)]);
    const folded = made.filter(([group]) => group.open === false).map(([, node]) => node);
    const shown = made.map(([, node]) => node).filter((node) => !folded.includes(node));
    // What few want to set lies behind one click, group by group.
    const most = folded.length >= MOST_FOLDED ? [this.more(folded)] : folded;
    const links = this.links.length && most === folded ? [make("p", { className: "links" }, ...this.links)] : [];
    this.groups.replaceChildren(...shown, ...links, ...most, ...(most === folded ? [this.seldom] : []));
    // Where a needle's Remove has gone with the needle, the button that adds one has its place.
    const places = held ? [held, held.replace(/^x-/, "s-")] : [];
    places.map((id) => this.groups.querySelector(`#${CSS.escape(id)}`)).find(Boolean)?.focus();
  }

  more(groups) {
    const open = this.open.get("g-more") ?? window.self !== window.top;
    const box = make("details", { className: "group more", id: "g-more", open }, make("summary", {}, "More settings"));
    const links = this.links.length ? [make("p", { className: "links" }, ...this.links)] : [];
    box.append(make("div", { className: "inside" }, ...groups, ...links, this.seldom));
    return box;
  }

  group(group) {
    const controls = group.controls.map((control) => this.control(control));
    if (group.open === null) {
      return make("fieldset", {}, make("legend", {}, group.title), ...controls);
    }
    // In a lesson's frame everything that may be set is in sight.
    const open = this.open.get(`g-${group.id}`) ?? (group.open || window.self !== window.top);
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
    Object.assign(part, { wrong, shown: control.value, refused: "" });
    if (part.link) this.links.push(part.link);
    this.parts.set(control.id, part);
    return make("div", { className: "control" }, part.node, wrong);
  }

  // What the server says: values as they are now, what it refused, the link. The link alone when
  // only the look of the stage has changed.
  answered(reply) {
    this.messenger.heard(reply.seq ?? 0);
    if (reply.values) this.show(reply);
    if (reply.notice !== undefined) this.said.textContent = reply.notice;
    if (reply.link !== undefined) this.steps.show(reply);
    if (reply.values) this.showWays(reply);
    this.messenger.flush();
  }

  showWays(reply) {
    for (const [way, button] of Object.entries(this.ways)) {
      // The browser's own history decides where it keeps the steps: it may be ahead of the answers.
      button.disabled = !(this.steps.own ? this.steps.can(way) : reply[way]);
      // Nothing to take back yet: nothing to press. A link brings something along.
      if (!button.disabled) for (const each of Object.values(this.ways)) each.hidden = false;
    }
    const fresh = this.ways.undo.hidden && !this.linked && this.model.copies;
    if (this.reset) this.reset.hidden = fresh;
  }

  show({ values, errors = {}, seq }) {
    this.confirmed = values;
    // A step back or a reset replaces what is being typed, too.
    const whole = WHOLE.some((field) => this.messenger.isAnswer(field, seq));
    for (const [id, part] of this.parts) {
      // A refused value stays to be fixed, with its sentence, until its own control says otherwise.
      if (errors[id] !== undefined || this.messenger.isAnswer(id, seq)) part.refused = errors[id] ?? "";
      else if (part.refused && part.shown !== values[id]) part.refused = "";
      this.complain(part);
      // What is still on its way is newer.
      if (part.refused || !(id in values) || this.messenger.open(id)) continue;
      part.show(values[id], whole ? "" : "slider");
      part.shown = values[id];
    }
  }

  complain(part) {
    part.wrong.hidden = !part.refused;
    part.wrong.textContent = part.refused ?? "";
    for (const input of part.inputs ?? [part.input]) {
      if (part.refused) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
  }

  /** What a lesson's bench was set to when the server went away: no address holds it. */
  resume() {
    const { kept } = returned();
    if (this.model.copies || !kept?.settings || !this.parts.size) return;
    const values = kept.settings;
    delete kept.settings;
    for (const { id, side, field, value } of this.model.schema.flatMap(({ controls }) => controls)) {
      if (id in values && values[id] !== value) this.messenger.change(id, side, field, values[id]);
    }
  }

  /** The server is gone: everything shows again what it has confirmed. */
  lost() {
    this.messenger.giveUp();
    this.address.flush();
    for (const [id, part] of this.parts) {
      part.refused = "";
      this.complain(part);
      if (id in (this.confirmed ?? {})) part.show(this.confirmed[id]);
    }
    if (!this.model.copies) returned().keep.settings = this.confirmed;
  }
}

// What a lost connection keeps; see connection.js.
const returned = () => /** @type {any} */ (window).tipsimReturn ?? { kept: null, keep: {} };

export function render({ model }) {
  const form = new Form(model);
  form.build();
  form.answered(model.reply);
  form.steps.resume();
  form.resume();
  if (model.copies) new Glance(model, (query) => form.steps.to(query));
  model.on("schema", () => {
    form.build();
    form.resume();
  });
  model.on("reply", () => form.answered(model.reply));
  window.addEventListener("tipsim:lost", () => form.lost());
  // On paper the settings stand as a table.
  window.addEventListener("beforeprint", () => {
    const place = document.querySelector("#settings-table");
    if (place && model.copies) place.replaceChildren(settingsTable(model.schema, form.confirmed ?? {}));
  });
  return form.form;
}
