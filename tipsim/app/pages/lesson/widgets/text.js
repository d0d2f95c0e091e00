// Marked-up text from the server, with terms that open their meaning.

import { make } from "../../../framework/make.js";

/** An element with markup that the server made from a lesson's text; it holds no scripts. */
export function rich(tag, html, properties = {}) {
  return make(tag, { ...properties, innerHTML: html });
}

/** The same for a label, in which nothing else may be pressed: terms are plain words there. */
export function label(tag, html, properties = {}) {
  const node = make(tag, properties);
  node.innerHTML = html;
  for (const term of node.querySelectorAll("button.term")) term.replaceWith(...term.childNodes);
  return node;
}

/** Right or wrong, in a sign and a word. */
export function mark(right, words = right ? "Right" : "Not right") {
  const sign = make("span", { className: "sign", "aria-hidden": "true" }, right ? "✓" : "✗");
  return make("span", { className: `mark ${right ? "good" : "bad"}` }, sign, words);
}

/** Millimetres as they are said: one decimal. */
export const millimetres = (value) => `${(Math.round(value * 10) / 10).toFixed(1)} mm`;
