// Text and tables as the server wrote them; what changes a field says so in its markup.

import { make } from "./make.js";
import { tell } from "./messenger.js";
import { morph } from "./morph.js";
import { rove } from "./rove.js";

/** Open or close what a question mark stands for. @param {Element} button @param {Element} root */
const toggle = (button, root) => {
  const why = root.querySelector(`#${CSS.escape(button.getAttribute("aria-controls") ?? "")}`);
  if (why) button.setAttribute("aria-expanded", String(!why.toggleAttribute("hidden")));
};

/**
 * Let what is in a node change the fields that it names in `data-field`: buttons (to `data-value`),
 * forms (to the text of their first input), radios, files (to their text).
 * @param {HTMLElement} root @param {any} model
 */
export function listen(root, model) {
  const send = (/** @type {HTMLElement} */ node, /** @type {any} */ value) => {
    const { side = "both", field } = node.dataset;
    if (field) tell(model, { changes: [{ side, field, value }] });
  };
  root.addEventListener("click", (/** @type {MouseEvent} */ event) => {
    const pressed = event.target instanceof Element ? event.target.closest("button") : null;
    if (pressed?.matches(".ask")) toggle(pressed, root);
    if (pressed && pressed.ariaDisabled !== "true") send(pressed, pressed.dataset.value ?? true);
  });
  root.addEventListener("submit", (event) => {
    event.preventDefault();
    const form = event.target;
    if (form instanceof HTMLFormElement) send(form, form.querySelector("input")?.value);
  });
  root.addEventListener("change", async ({ target }) => {
    if (!(target instanceof HTMLInputElement)) return;
    if (target.type === "radio") send(target, target.value);
    else if (target.type === "file" && target.files?.length) send(target, await target.files[0].text());
  });
}

/** Show markup in a node. @param {HTMLElement} root @param {string} html */
export function fill(root, html) {
  const wanted = document.createElement("template");
  wanted.innerHTML = html;
  morph(root, wanted.content);
}

/** A node that shows the markup of a model. @param {any} model */
export function article(model) {
  const root = make("div", { className: "article" });
  // Long markup that seldom changes is sent apart.
  const below = make("div", { className: "article below" });
  listen(root, model);
  // The question marks of many numbers are one stop of the Tab key.
  const asks = rove(root, ".ask");
  const show = () => {
    fill(root, model.html);
    asks();
  };
  const showBelow = () => fill(below, model.below);
  // What stands there while numbers for the settings are still to come is marked as old.
  const wait = () => {
    const waits = model.waits.includes("html");
    root.ariaBusy = String(waits);
    if (waits && !model.html) root.replaceChildren(make("p", { className: "soft" }, "Being computed …"));
  };
  model.on("html", show);
  model.on("below", showBelow);
  model.on("waits", wait);
  show();
  showBelow();
  wait();
  return make("div", {}, root, below);
}

/** @param {{model: any}} props */
export const render = ({ model }) => article(model);
