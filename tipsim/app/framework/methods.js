// The methods card: copied by a button, seen on paper, carried by the page's downloads.

import { article } from "./article.js";

let paragraph = "";

/** What was used, as a paragraph; "" on a page without a card. */
export const methods = () => paragraph;

/** Put a node's text where a person can paste it from. @param {HTMLElement} node @returns {Promise<boolean>} */
async function copied(node) {
  try {
    await navigator.clipboard.writeText(node.textContent ?? "");
    return true;
  } catch {
    // Pages that do not come by https may not write there: the text is selected, for the keys to copy.
    const range = document.createRange();
    range.selectNodeContents(node);
    const selection = window.getSelection();
    selection?.removeAllRanges();
    selection?.addRange(range);
    return false;
  }
}

/** @param {{model: any}} props */
export function render({ model }) {
  const node = article(model);
  const show = () => (paragraph = node.querySelector(".paragraph")?.textContent ?? "");
  node.addEventListener("click", async ({ target }) => {
    const button = target instanceof Element ? target.closest("[data-copy]") : null;
    const text = button && node.querySelector(button.getAttribute("data-copy") ?? "");
    const said = button?.parentElement?.querySelector("[role=status]");
    if (!(text instanceof HTMLElement) || !said) return;
    said.textContent = (await copied(text)) ? "Copied." : "The text is selected: copy it with Ctrl+C, or ⌘C.";
  });
  model.on("html", show);
  show();
  // On paper the card is open.
  const fold = () => {
    const root = node.getRootNode();
    return root instanceof ShadowRoot ? root.host.closest("details") : null;
  };
  let opened = false;
  window.addEventListener("beforeprint", () => {
    const box = fold();
    opened = Boolean(box && !box.open);
    if (box && opened) box.open = true;
  });
  window.addEventListener("afterprint", () => {
    const box = fold();
    if (box && opened) box.open = false;
  });
  return node;
}
