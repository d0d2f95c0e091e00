// The page's colours and fonts, as a canvas needs them, and word when they change.

/** @type {Set<() => void>} */
const listeners = new Set();
let watching = false;

function watch() {
  if (watching) return;
  watching = true;
  const tell = () => listeners.forEach((listener) => listener());
  const dark = matchMedia("(prefers-color-scheme: dark)");
  dark.addEventListener("change", tell);
  new MutationObserver(tell).observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme"] });
}

/**
 * Call back whenever light changes to dark or back.
 * @param {() => void} listener
 * @returns {() => void} ends it
 */
export function onTheme(listener) {
  watch();
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/**
 * Return a reader of colours by the name of their custom property ("a" for --ts-a), as rgb().
 * @param {HTMLElement} node inside the page, where the properties apply
 * @returns {(name: string) => string}
 */
export function colours(node) {
  const sample = document.createElement("span");
  sample.hidden = true;
  /** @type {Map<string, string>} */
  const known = new Map();
  return (name) => {
    let colour = known.get(name);
    if (colour === undefined) {
      node.append(sample);
      sample.style.color = `var(${name.startsWith("--") ? name : `--ts-${name}`})`;
      colour = getComputedStyle(sample).color;
      known.set(name, colour);
      sample.remove();
    }
    return colour;
  };
}
