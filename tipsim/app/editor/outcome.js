// What the needle comes to, what the model says of it, and the way to the bench.

import { make } from "../framework/make.js";

const figure = ({ label, value, note, warning }) => {
  const said = make("dd", {}, make("strong", {}, value), make("small", {}, note));
  if (warning) said.append(make("small", { className: "warning" }, warning));
  return make("div", { className: "figure" }, make("dt", {}, label), said);
};

/** The strip of numbers below the picture. */
export class Outcome {
  constructor() {
    this.chip = make("span", { className: "chip" });
    this.setting = make("p", { className: "setting" });
    this.list = make("dl", { className: "figures" });
    this.spoken = make("p", { className: "sr" });
    this.spoken.setAttribute("role", "status");
    this.node = make(
      "section",
      { className: "outcome" },
      make("div", { className: "outcome-head" }, make("h2", {}, "What it would do"), this.chip, this.setting),
      this.list,
      this.spoken,
    );
  }

  show({ look, possible }) {
    this.node.classList.toggle("stale", !possible);
    if (look.trouble) {
      this.chip.textContent = "";
      this.setting.textContent = look.trouble;
      this.list.replaceChildren();
      return;
    }
    this.chip.textContent = look.standing === "fitted" ? "Fitted" : "Predicted by the model";
    this.chip.className = `chip ${look.standing}`;
    const of = possible ? "" : "Of the last needle that can be made. ";
    this.setting.textContent = `${of}${look.setting} ${look.standing_why}`;
    const delicate = look.thorough ?? { label: "If 1 % is off", value: "…", note: "in a moment" };
    const rows = [...look.rows, delicate];
    this.list.replaceChildren(...rows.map(figure));
    if (look.thorough) this.speak(rows);
  }

  // Warnings for those who hear the page: once, when all is known.
  speak(rows) {
    const said = rows.filter(({ warning }) => warning).map(({ label, warning }) => `${label}: ${warning}.`);
    if (this.spoken.textContent !== said.join(" ")) this.spoken.textContent = said.join(" ");
  }
}

/** Lengths, walls, metal. */
export class Totals {
  constructor() {
    this.list = make("dl", { className: "totals" });
    this.node = make("section", { className: "totals-part" }, make("h2", {}, "In all"), this.list);
  }

  show({ totals, possible, draft }) {
    this.node.classList.toggle("stale", !possible);
    const rows = [{ label: "Shape", value: draft.shape }, ...totals];
    this.list.replaceChildren(
      ...rows.map(({ label, value }) => make("div", {}, make("dt", {}, label), make("dd", {}, value))),
    );
  }
}

/** The two links to the bench, and the one back. */
export class Put {
  constructor(settled) {
    this.links = {};
    this.told = make("p", { className: "told-put" });
    this.back = make("a", { className: "back" }, "Back to the bench as it was");
    const row = make("div", { className: "put-links" });
    for (const side of ["a", "b"]) {
      const letter = make("span", { className: `letter ${side}` }, side.toUpperCase());
      const link = make("a", { className: `put ${side}` }, "Put on the bench as ", letter);
      // What was typed last may still be on its way: the link waits for its answer.
      link.addEventListener("click", async (event) => {
        if (event.ctrlKey || event.metaKey || event.shiftKey) return;
        event.preventDefault();
        await settled();
        if (link.hasAttribute("href")) window.location.assign(link.href);
      });
      this.links[side] = link;
      row.append(link);
    }
    this.node = make("section", { className: "put-part" }, make("h2", {}, "On the bench"), row, this.told, this.back);
  }

  show({ put, back }) {
    for (const side of ["a", "b"]) {
      const link = this.links[side];
      if (put[side].href) link.href = put[side].href;
      else link.removeAttribute("href");
      link.setAttribute("role", "link");
      link.setAttribute("aria-disabled", String(!put[side].href));
    }
    const both = put.a.told === put.b.told;
    this.told.textContent = both ? put.a.told : `A: ${put.a.told} B: ${put.b.told}`;
    this.back.href = back;
  }
}
