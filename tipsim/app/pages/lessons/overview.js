// The overview of the lessons: the server writes it; here is what only a browser can do.

import { fill, listen } from "../../framework/article.js";
import { greet, writeLearner } from "../../framework/learner.js";
import { make } from "../../framework/make.js";
import { save } from "../../framework/save.js";

/** @param {{model: any}} props */
export function render({ model }) {
  const status = make("p", { className: "sr", role: "status" });
  const page = make("div", { className: "article" });
  const at = (name) => page.querySelector(name);
  let code;

  const show = () => {
    const { html, learner, notice, file } = model.content;
    if (!html) return;
    if (learner !== undefined) writeLearner(learner);
    fill(page, html);
    status.textContent = notice;
    if (file) save(new Blob([file.text], { type: "application/json" }), file.name);
    // Somebody came or left: what is below is another record.
    if (code !== undefined && code !== learner?.code) at("h2")?.focus();
    code = learner?.code ?? null;
  };
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(at("code").textContent);
      status.textContent = "Code copied.";
    } catch {
      status.textContent = "Copying is not allowed here; write the code down.";
    }
  };
  const ask = (on) => {
    at(".sure").hidden = !on;
    at(on ? ".sure button" : ".delete").focus();
  };

  listen(page, model);
  page.addEventListener("click", ({ target }) => {
    if (target.matches(".copy")) copy();
    else if (target.matches(".delete, .keep")) ask(target.matches(".delete"));
  });
  greet(
    (known) => model.send_msg({ changes: [{ field: "hello", value: known }] }),
    () => Boolean(model.content.html),
  );
  model.on("content", show);
  show();
  return make("div", {}, status, page);
}
