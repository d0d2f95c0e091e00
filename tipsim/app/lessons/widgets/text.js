// Marked-up text from the server, with terms that open their meaning.

import { make } from "../../framework/make.js";

/** An element with markup that the server made from a lesson's text; it holds no scripts. */
export function rich(tag, html, properties = {}) {
  const node = make(tag, properties);
  node.innerHTML = html;
  for (const term of node.querySelectorAll("button.term")) {
    term.addEventListener("click", () => unfold(term));
  }
  for (const cited of node.querySelectorAll("a.source")) cited.addEventListener("click", toSource);
  return node;
}

/** The page's own address of a step must stay: the list of sources is gone to by hand. */
function toSource(event) {
  event.preventDefault();
  const source = event.currentTarget.getRootNode().getElementById(event.currentTarget.hash.slice(1));
  source?.scrollIntoView({ block: "center" });
  source?.focus({ preventScroll: true });
}

/** The same for a label, in which nothing else may be pressed: terms are plain words there. */
export function label(tag, html, properties = {}) {
  const node = make(tag, properties);
  node.innerHTML = html;
  for (const term of node.querySelectorAll("button.term")) term.replaceWith(...term.childNodes);
  return node;
}

function unfold(term) {
  const open = term.getAttribute("aria-expanded") === "true";
  term.setAttribute("aria-expanded", String(!open));
  if (open) term.nextElementSibling.remove();
  else term.after(make("span", { className: "meaning", role: "note" }, term.dataset.meaning));
}

/** Right or wrong, in a sign and a word. */
export function mark(right, words = right ? "Right" : "Not right") {
  const sign = make("span", { className: "sign", "aria-hidden": "true" }, right ? "✓" : "✗");
  return make("span", { className: `mark ${right ? "good" : "bad"}` }, sign, words);
}

/** Millimetres as they are said: one decimal. */
export const millimetres = (value) => `${(Math.round(value * 10) / 10).toFixed(1)} mm`;
