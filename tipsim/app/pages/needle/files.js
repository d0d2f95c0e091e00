// Needle files, and the links that take the needle to the page where needles are compared.

import { make } from "../../framework/make.js";
import { save } from "../../framework/save.js";

const button = (label, click) => make("button", { type: "button", click }, label);

const base64 = (file) =>
  new Promise((done, fail) => {
    const reader = new FileReader();
    reader.addEventListener("load", () => done(String(reader.result).split(",")[1] ?? ""));
    reader.addEventListener("error", fail);
    reader.readAsDataURL(file);
  });

export class Files {
  /** @param {any} model @param {any} actions with load(file), settled(), complain(sentence) */
  constructor(model, actions) {
    this.model = model;
    this.actions = actions;
    this.chooser = make("input", { type: "file", accept: ".toml,text/plain,application/toml", hidden: true });
    this.chooser.setAttribute("aria-label", "Needle file");
    this.chooser.addEventListener("change", () => this.read());
    this.links = { a: this.link("a"), b: this.link("b") };
    this.said = make("p", { className: "soft" });
    this.back = make("a", {}, "Back to the needles as they were");
    this.node = make(
      "div",
      { className: "bar" },
      ...Object.values(this.links),
      button("Load…", () => this.chooser.click()),
      button("Save", () => this.save()),
      this.chooser,
      this.back,
      this.said,
    );
  }

  // What was typed last may still be on its way: a link waits for its answer.
  link(side) {
    const letter = make("span", { className: `letter ${side}` }, side.toUpperCase());
    const link = make("a", { className: "use", role: "link" }, "Use as needle ", letter);
    link.addEventListener("click", async (event) => {
      if (event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      await this.actions.settled();
      if (link.hasAttribute("href")) window.location.assign(link.href);
    });
    return link;
  }

  async read() {
    const [file] = this.chooser.files;
    this.chooser.value = "";
    if (!file) return;
    const most = this.model.known.most_bytes;
    if (file.size > most) {
      const size = `${Math.round(file.size / 1000)} kB`;
      this.actions.complain(`${file.name} is ${size}; allowed: a TOML needle file of up to ${most / 1000} kB.`);
      return;
    }
    try {
      this.actions.load({ name: file.name, bytes: await base64(file) });
    } catch {
      this.actions.complain(`${file.name} could not be read; allowed: a TOML needle file.`);
    }
  }

  async save() {
    await this.actions.settled();
    const { file } = this.model.draft;
    if (!file) {
      const kept = "The link of this page holds the draft as it is.";
      this.actions.complain(`To save it, fix the highlighted fields first. ${kept}`);
      return;
    }
    save(new Blob([file.text], { type: "application/toml" }), file.name);
    this.actions.complain("");
  }

  show({ use, back }) {
    for (const [side, link] of Object.entries(this.links)) {
      if (use[side].href) link.href = use[side].href;
      else link.removeAttribute("href");
      link.setAttribute("aria-disabled", String(!use[side].href));
    }
    const alike = use.a.said === use.b.said;
    this.said.textContent = alike ? use.a.said : `A: ${use.a.said} B: ${use.b.said}`;
    this.back.href = back;
  }
}
