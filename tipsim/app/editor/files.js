// Undo and redo, a needle to start from, and files.

import { make } from "../framework/make.js";
import { Typed } from "./fields.js";

const button = (label, act) => {
  const node = make("button", { type: "button" }, label);
  node.addEventListener("click", () => {
    if (node.getAttribute("aria-disabled") !== "true") act();
  });
  return node;
};

const base64 = (buffer) => {
  const bytes = new Uint8Array(buffer);
  let text = "";
  for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
  return btoa(text);
};

export class Bar {
  /** @param {any} actions with set, act, settled, file() */
  constructor(known, actions) {
    this.known = known;
    this.actions = actions;
    this.title = new Typed("needle-title", "", { send: (value) => actions.set("title", value) });
    this.undo = button("Undo", () => actions.act({ do: "undo" }));
    this.redo = button("Redo", () => actions.act({ do: "redo" }));
    this.save = button("Save", () => this.download());
    this.load = button("Load…", () => this.chooser.click());
    this.chooser = make("input", { type: "file", accept: ".toml,text/plain,application/toml", hidden: true });
    this.chooser.setAttribute("aria-label", "Needle file");
    this.chooser.addEventListener("change", () => this.read());
    this.wrong = make("p", { className: "wrong", hidden: true });
    this.wrong.setAttribute("role", "alert");
    this.said = make("p", { className: "said" });
    this.said.setAttribute("role", "status");
    const group = (...nodes) => make("div", { className: "group" }, ...nodes);
    const name = group(make("label", { htmlFor: this.title.input.id }, "Name"), this.title.input);
    name.classList.add("title");
    this.node = make(
      "div",
      { className: "bar-part" },
      make(
        "div",
        { className: "bar" },
        name,
        this.from(),
        group(this.undo, this.redo),
        group(this.load, this.save, this.chooser),
      ),
      this.title.wrong,
      this.wrong,
    );
  }

  from() {
    this.select = make("select", { id: "start-from" });
    const groups = new Map();
    for (const { id, title, across } of this.known.needles) {
      if (!groups.has(across)) groups.set(across, make("optgroup", { label: across }));
      groups.get(across).append(make("option", { value: id }, title));
    }
    this.select.append(...groups.values());
    this.select.value = "single-bend-20-0.9";
    const start = button("Start", () => this.actions.act({ do: "start", needle: this.select.value }));
    const label = make("label", { htmlFor: this.select.id }, "Start from");
    const node = make("div", { className: "group start" }, label, this.select, start);
    return node;
  }

  async read() {
    const [file] = this.chooser.files;
    this.chooser.value = "";
    if (!file) return;
    if (file.size > this.known.most_bytes) {
      const kilo = this.known.most_bytes / 1000;
      this.complain(
        `${file.name} is ${Math.round(file.size / 1000)} kB; allowed: a TOML needle file of up to ${kilo} kB.`,
      );
      return;
    }
    try {
      this.actions.act({ do: "load", name: file.name, bytes: base64(await file.arrayBuffer()) });
    } catch {
      this.complain(`${file.name} could not be read; allowed: a TOML needle file.`);
    }
  }

  complain(sentence) {
    this.wrong.hidden = !sentence;
    this.wrong.textContent = sentence;
    if (sentence) this.said.textContent = "";
  }

  // What was typed last may still be on its way: saving waits for its answer.
  async download() {
    await this.actions.settled();
    const file = this.actions.file();
    if (!file) {
      this.complain("It can be saved once what is marked is mended; the link of this page holds it as it is.");
      return;
    }
    const address = URL.createObjectURL(new Blob([file.text], { type: "application/toml" }));
    const link = make("a", { href: address, download: file.name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 10_000);
    this.complain("");
    this.said.textContent = `Saved as ${file.name}.`;
  }

  show(reply, keep) {
    this.title.show(reply.draft.title, reply.errors.title, keep);
    this.undo.setAttribute("aria-disabled", String(!reply.undo));
    this.redo.setAttribute("aria-disabled", String(!reply.redo));
    // What was said stays until something else is done.
    if (!reply.quiet) this.said.textContent = reply.notice ?? "";
    const wrong = reply.errors.file ?? reply.errors.start ?? "";
    // A refusal stays until something else is done.
    if (wrong || !reply.quiet) this.complain(wrong);
  }
}
