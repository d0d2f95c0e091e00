// A little SVG: elements, axes with round ticks, numbers in words.

const SVG = "http://www.w3.org/2000/svg";

/** An SVG element with attributes and children. */
export function draw(tag, attributes = {}, ...children) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

/** An HTML element with properties and children. */
export function html(tag, properties = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name in node) node[name] = value;
    else node.setAttribute(name, value);
  }
  node.append(...children);
  return node;
}

/** Round ticks that cover [low, high]: about `count` of them. */
export function ticks(low, high, count) {
  const raw = (high - low) / count || 1;
  const size = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((k) => k * size).find((k) => k >= raw * 0.999);
  const out = [];
  for (let v = Math.ceil(low / step - 1e-9) * step; v <= high + step * 1e-9; v += step) {
    out.push(Math.abs(v) < step * 1e-9 ? 0 : v);
  }
  return out;
}

/** A number as short as it can be read. */
export function short(value) {
  const size = Math.abs(value);
  if (size >= 100 || size === 0) return value.toFixed(0);
  return Number(value.toPrecision(3)).toString();
}

/** Micrometres with one digit, or none from 100 up. */
export function micro(value) {
  return value.toFixed(Math.abs(value) < 99.95 ? 1 : 0);
}
