// Text and tables as the server wrote them; what changes a field says so in its markup.

import { make } from "./make.js";
import { morph } from "./morph.js";

/** @param {{model: any}} props */
export function render({ model }) {
  const root = make("div", { className: "article" });
  const show = () => {
    const wanted = document.createElement("template");
    wanted.innerHTML = model.html;
    morph(root, wanted.content);
  };
  root.addEventListener("click", (/** @type {MouseEvent} */ event) => {
    const pressed = event.target instanceof Element ? event.target.closest("[data-field]") : null;
    if (!(pressed instanceof HTMLElement)) return;
    const { side = "both", field, value = true } = pressed.dataset;
    model.send_msg({ changes: [{ side, field, value }] });
  });
  show();
  model.on("html", show);
  return root;
}
