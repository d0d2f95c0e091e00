// Text and tables as the server wrote them; what changes a field says so in its markup.

import { make } from "./make.js";
import { morph } from "./morph.js";

/** Open or close what a question mark stands for. @param {Element} button @param {Element} root */
const toggle = (button, root) => {
  const why = root.querySelector(`#${CSS.escape(button.getAttribute("aria-controls") ?? "")}`);
  if (why) button.setAttribute("aria-expanded", String(!why.toggleAttribute("hidden")));
};

/** @param {{model: any}} props */
export function render({ model }) {
  const root = make("div", { className: "article" });
  const show = () => {
    const wanted = document.createElement("template");
    wanted.innerHTML = model.html;
    morph(root, wanted.content);
  };
  // What stands there while numbers for the settings are still to come is marked as old.
  const wait = () => {
    const waits = model.waits.includes("html");
    root.ariaBusy = String(waits);
    if (waits && !model.html) root.replaceChildren(make("p", { className: "soft" }, "Being computed …"));
  };
  root.addEventListener("click", (/** @type {MouseEvent} */ event) => {
    const pressed = event.target instanceof Element ? event.target.closest("button") : null;
    if (pressed?.matches(".ask")) toggle(pressed, root);
    if (!pressed?.dataset.field) return;
    const { side = "both", field, value = true } = pressed.dataset;
    model.send_msg({ changes: [{ side, field, value }] });
  });
  show();
  wait();
  model.on("html", show);
  model.on("waits", wait);
  return root;
}
