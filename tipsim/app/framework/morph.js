// Markup in the place of other markup: what a reader opened, typed or looks at stays as it is.

/** Whether a reader sets an attribute by using the page. @param {Element} node @param {string} name */
const isReaders = (node, name) =>
  name === "open" ||
  (["hidden", "aria-expanded", "tabindex"].includes(name) && node.matches(".ask, .why, .term, .meaning"));

/** @param {Element} node @param {Element} wanted */
const attributes = (node, wanted) => {
  for (const { name } of [...node.attributes]) {
    if (!wanted.hasAttribute(name) && !isReaders(node, name)) node.removeAttribute(name);
  }
  for (const { name, value } of wanted.attributes) {
    if (isReaders(node, name) || node.getAttribute(name) === value) continue;
    node.setAttribute(name, value);
    // Once a reader has chosen, the attribute alone says nothing.
    if (name === "checked" && node instanceof HTMLInputElement) node.checked = true;
  }
};

/** Whether one node can become the other. @param {Node} node @param {Node} wanted */
const alike = (node, wanted) =>
  node.nodeName === wanted.nodeName &&
  (!(node instanceof Element) || !(wanted instanceof Element) || node.id === wanted.id);

/**
 * Give a node the children that another has, and keep of its own what can be kept.
 * @param {Element} node
 * @param {Element | DocumentFragment} wanted
 */
export function morph(node, wanted) {
  const old = [...node.childNodes];
  let next = 0;
  for (const child of [...wanted.childNodes]) {
    const found = old.findIndex((one, k) => k >= next && alike(one, child));
    if (found < 0) {
      node.insertBefore(child, old[next] ?? null);
      continue;
    }
    for (const gone of old.slice(next, found)) gone.remove();
    next = found + 1;
    const kept = old[found];
    if (kept instanceof Element && child instanceof Element) {
      attributes(kept, child);
      // What a script has put into an element is its own.
      if (!kept.hasAttribute("data-own")) morph(kept, child);
    } else if (kept.nodeValue !== child.nodeValue) kept.nodeValue = child.nodeValue;
  }
  for (const gone of old.slice(next)) gone.remove();
}
