// What a chart's numbers come to: values between points, ranges, text, table, CSV. Pure.

import { numberText, plainNumber } from "./numbers.js";

/**
 * @typedef {ArrayLike<number>} Numbers
 * @typedef {{ label: string, unit: string, log: boolean, reverse: boolean, zero: boolean, digits: number }} Axis
 * @typedef {{ name: string, label: string, short: string, colour: string, dash: string, width: number,
 *   area: boolean, step: boolean }} Line
 * @typedef {{ name: string, title: string, x: Axis, y: Axis, lines: Line[], height: number, room: number,
 *   x_shown: boolean, item?: any }} Kind
 * @typedef {{ x: Numbers, y?: Numbers, low?: Numbers, high?: Numbers, label?: string, short?: string }} Curve
 * @typedef {{ y: number, label?: string, colour?: string, dash?: string, left?: boolean, minor?: boolean }} Level
 * @typedef {{ x: number, label?: string, colour?: string, dash?: string, foot?: boolean }} Mark
 * @typedef {{ x: number, y: number, side?: string, label?: string, hollow?: boolean }} Dot
 * @typedef {{ lines: Record<string, Curve>, levels?: Level[], marks?: Mark[], dots?: Dot[],
 *   shades?: { from: number, to: number, label?: string }[], bands?: { low: number, high: number, label?: string }[],
 *   ticks?: { x: number, side: string }[], x?: number[], y?: number[], words?: string }} Data
 */

/**
 * Return the value of a curve at a place, between its points; null beyond them. Either order of x.
 * @param {Numbers} xs
 * @param {Numbers} ys
 * @param {number} at
 * @param {boolean} [step] values hold until the next
 * @returns {number | null}
 */
export function valueAt(xs, ys, at, step = false) {
  const last = xs.length - 1;
  if (last < 0) return null;
  const up = xs[last] >= xs[0];
  const [low, high] = up ? [xs[0], xs[last]] : [xs[last], xs[0]];
  const slack = 1e-6 * (high - low);
  if (at < low - slack || at > high + slack) return null;
  let [i, j] = [0, last];
  while (j - i > 1) {
    const k = (i + j) >> 1;
    if (xs[k] <= at === up) i = k;
    else j = k;
  }
  const gap = xs[j] - xs[i];
  const share = gap === 0 ? 0 : Math.min(1, Math.max(0, (at - xs[i]) / gap));
  const value = step && share < 1 ? ys[i] : ys[i] * (1 - share) + ys[j] * share;
  return Number.isFinite(value) ? value : null;
}

/**
 * Return the lowest and highest finite value, with their places; null without one.
 * @param {Numbers} xs
 * @param {Numbers} ys
 */
export function extremes(xs, ys) {
  let [low, high] = [-1, -1];
  for (let i = 0; i < ys.length; i++) {
    if (!Number.isFinite(ys[i])) continue;
    if (low < 0 || ys[i] < ys[low]) low = i;
    if (high < 0 || ys[i] > ys[high]) high = i;
  }
  return low < 0 ? null : { low: ys[low], lowAt: xs[low], high: ys[high], highAt: xs[high] };
}

const DECADES = 4; // shown of a logarithmic axis at most, unless a range is given

/**
 * Return the range of an axis that shows values.
 * @param {Axis} axis
 * @param {Numbers[]} lists
 * @param {boolean} tight without room beyond the values
 * @returns {[number, number]}
 */
export function rangeOf(axis, lists, tight) {
  let [low, high] = [Infinity, -Infinity];
  for (const list of lists) {
    for (let i = 0; i < list.length; i++) {
      const value = list[i];
      if (!Number.isFinite(value) || (axis.log && value <= 0)) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  if (low > high) return axis.log ? [1, 10] : [0, 1];
  if (axis.log) return tight ? [low, high] : [Math.max(low / 1.2, high * 10 ** -DECADES), high * 1.4];
  if (axis.zero) [low, high] = [Math.min(0, low), Math.max(0, high)];
  const room = tight ? 0 : 0.07 * (high - low);
  if (high === low) return axis.zero ? [0, 1] : [low - 0.5, high + 0.5];
  return [axis.zero && low === 0 ? 0 : low - room, axis.zero && high === 0 ? 0 : high + room];
}

/** @param {Axis} axis @param {number | null} value */
function withUnit({ digits, unit }, value) {
  return unit && value !== null ? `${numberText(value, digits)} ${unit}` : numberText(value, digits);
}

/** @param {Kind} kind @param {Data} data @returns {[Line, Curve][]} the lines that are there */
export function present(kind, data) {
  return kind.lines.flatMap((line) => {
    const curve = data.lines[line.name];
    return curve?.x.length ? [/** @type {[Line, Curve]} */ ([{ ...line, ...labels(curve) }, curve])] : [];
  });
}

/** @param {Curve} curve */
function labels({ label, short }) {
  return { ...(label !== undefined && { label }), ...(short !== undefined && { short }) };
}

/**
 * Say what is read at a place: the place, and each line's value.
 * @param {Kind} kind
 * @param {Data} data
 * @param {number} at
 */
export function reading(kind, data, at) {
  const parts = present(kind, data).flatMap(([line, curve]) => {
    const name = line.short || line.label;
    if (!curve.y) {
      const ends = [curve.low, curve.high].map((ys) => valueAt(curve.x, ys ?? [], at));
      const text = ends.map((v) => numberText(v, kind.y.digits)).join(" to ");
      return ends[0] === null ? [] : [`${name} ${text} ${kind.y.unit}`];
    }
    const value = valueAt(curve.x, curve.y, at, line.step);
    return [`${name} ${withUnit(kind.y, value)}`];
  });
  return `${kind.x.label} ${withUnit(kind.x, at)}: ${parts.join(", ")}`;
}

/**
 * Say what the lines do: where each begins and ends, and its highest value.
 * @param {Kind} kind
 * @param {Data} data
 */
export function summary(kind, data) {
  const parts = present(kind, data).flatMap(([line, { x, y }]) => {
    const ends = y && extremes(x, y);
    if (!ends) return [];
    const high = `highest ${withUnit(kind.y, ends.high)} at ${withUnit(kind.x, ends.highAt)}`;
    return [`${line.label}: lowest ${withUnit(kind.y, ends.low)} at ${withUnit(kind.x, ends.lowAt)}, ${high}.`];
  });
  const named = (data.levels ?? []).filter(({ label }) => label);
  const levels = named.map(({ y, label }) => `${label} at ${withUnit(kind.y, y)}`);
  const limits = levels.length ? [`Lines across: ${levels.join("; ")}.`] : [];
  return [data.words ?? "", ...parts, ...limits].filter(Boolean).join(" ");
}

/** @param {Axis} axis */
const header = ({ label, unit }) => (unit ? `${label} [${unit}]` : label);

/** @param {Kind} kind @param {Data} data each column of numbers: title, places, values */
function columns(kind, data) {
  return present(kind, data).flatMap(([line, { x, y, low, high }]) => {
    const title = kind.y.unit ? `${line.label} [${kind.y.unit}]` : line.label;
    if (y) return [{ title, x, y, step: line.step }];
    return [
      { title: `${title}, low`, x, y: low ?? [], step: false },
      { title: `${title}, high`, x, y: high ?? [], step: false },
    ];
  });
}

const ROWS = 12;

/**
 * Return the chart as a short table: titles, and rows of text at round shares of what is shown.
 * @param {Kind} kind
 * @param {Data} data
 * @param {[number, number]} span
 */
export function table(kind, data, span) {
  const all = columns(kind, data);
  const at = (/** @type {number} */ share) =>
    kind.x.log ? span[0] * (span[1] / span[0]) ** share : span[0] + share * (span[1] - span[0]);
  const rows = Array.from({ length: ROWS + 1 }, (_, k) => {
    const x = at(k / ROWS);
    const values = all.map(({ x: xs, y, step }) => numberText(valueAt(xs, y, x, step), kind.y.digits));
    return [numberText(x, Math.max(3, kind.x.digits)), ...values];
  });
  return { titles: [header(kind.x), ...all.map(({ title }) => title)], rows };
}

/** @param {Numbers} a @param {Numbers} b */
function alike(a, b) {
  if (a === b) return true;
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

/** @param {string} text */
const quoted = (text) => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/**
 * Return all points that are drawn as CSV; lines over the same places share their column.
 * @param {Kind} kind
 * @param {Data} data
 */
export function csv(kind, data) {
  /** @type {{ title: string, values: Numbers }[]} */
  const out = [];
  /** @type {Numbers | null} */
  let places = null;
  for (const { title, x, y } of columns(kind, data)) {
    if (!places || !alike(places, x)) {
      places = x;
      out.push({ title: header(kind.x), values: x });
    }
    out.push({ title, values: y });
  }
  const count = Math.max(0, ...out.map(({ values }) => values.length));
  const lines = Array.from({ length: count }, (_, i) => out.map(({ values }) => plainNumber(values[i])).join(","));
  return `${[out.map(({ title }) => quoted(title)).join(","), ...lines].join("\r\n")}\r\n`;
}

/**
 * Push heights apart until they are at least `gap` from one another, as near to their own as that allows.
 * @param {number[]} wanted
 * @param {number} gap
 * @param {number} [low] least of all heights, where there is room for all
 * @param {number} [high] most of all heights
 */
export function spread(wanted, gap, low = -Infinity, high = Infinity) {
  const order = wanted.map((_, i) => i).sort((a, b) => wanted[a] - wanted[b]);
  const out = [...wanted];
  // Groups that touch move as one, to the mean of what their members want.
  /** @type {{ members: number[], middle: number }[]} */
  const groups = [];
  for (const i of order) {
    groups.push({ members: [i], middle: wanted[i] });
    while (groups.length > 1) {
      const [below, above] = groups.slice(-2);
      const need = ((below.members.length + above.members.length) / 2) * gap;
      if (above.middle - below.middle >= need - 1e-9) break;
      const members = [...below.members, ...above.members];
      const middle = (below.middle * below.members.length + above.middle * above.members.length) / members.length;
      groups.splice(-2, 2, { members, middle });
    }
  }
  for (const { members, middle } of groups) {
    members.forEach((i, k) => (out[i] = middle + (k - (members.length - 1) / 2) * gap));
  }
  let next = low;
  for (const i of order) {
    out[i] = Math.max(out[i], next);
    next = out[i] + gap;
  }
  next = high;
  for (const i of order.reverse()) {
    out[i] = Math.min(out[i], next);
    next = out[i] - gap;
  }
  return out;
}
