// Elements and round numbers, shared by the components' scripts.

const SVG = "http://www.w3.org/2000/svg";
// Properties that are there but cannot be set.
const FIXED = ["list", "form"];

/**
 * An HTML element with properties, attributes, listeners and children; null children are left out.
 * @param {string} tag
 * @param {Record<string, any>} [properties]
 * @param {...any} children nodes, text, numbers
 * @returns {any}
 */
export function make(tag, properties = {}, ...children) {
  /** @type {any} */
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (typeof value === "function") node.addEventListener(name, value);
    else if (name in node && !FIXED.includes(name)) node[name] = value;
    else node.setAttribute(name, value);
  }
  node.append(...children.filter((child) => child !== null));
  return node;
}

/**
 * An SVG element with attributes and children.
 * @param {string} tag
 * @param {Record<string, any>} [attributes]
 * @param {...(Node | string)} children
 * @returns {any}
 */
export function draw(tag, attributes = {}, ...children) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

/**
 * Round ticks inside [low, high]: about `count` of them.
 * @param {number} low
 * @param {number} high
 * @param {number} count
 */
export function ticks(low, high, count) {
  const raw = (high - low) / count || 1;
  const size = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((k) => k * size).find((k) => k >= raw * 0.999) ?? 10 * size;
  const out = [];
  for (let v = Math.ceil(low / step - 1e-9) * step; v <= high + step * 1e-9; v += step) {
    out.push(Math.abs(v) < step * 1e-9 ? 0 : v);
  }
  return out;
}
