// The words in a chart's picture, each placed clear of the others. Pure: what is said stands where
// the figure's scales put it.

import { present, spread, valueAt } from "./chart_data.js";

/**
 * @typedef {import("./chart_data.js").Data} Data
 * @typedef {import("./chart_data.js").Kind} Kind
 * @typedef {{ left: number, right: number, top: number, bottom: number, width: number, height: number }} Frame
 * @typedef {{ frame: Frame, x: { start: number, end: number }, y: { start: number, end: number },
 *   px: (x: number) => number, py: (y: number) => number, paint: (name: string) => string }} Place
 * @typedef {{ x: number, y: number, text: string, colour: string, align: string, style: string,
 *   dx: number, dy: number }} Word
 */

const LINE_PX = 13; // from one word to the next above it
const STROKE_PX = 4; // a line so near a word's middle goes through its letters
const LETTER_PX = 6.4; // about as wide is a letter
const NARROW_PX = 420; // a figure that has no room for what is said besides

/**
 * Return all words of a picture.
 * @param {Place} place
 * @param {Kind} kind
 * @param {Data} data
 * @returns {Word[]}
 */
export function wordsOf(place, kind, data) {
  return [
    ...curveNames(place, kind, data),
    ...bandWords(place, data),
    ...levelWords(place, data),
    ...markWords(place, data),
    ...dotWords(place, data),
    ...ticks(place, data),
  ];
}

/**
 * @param {Place} place
 * @param {number} x
 * @param {number} y
 * @param {string} text
 * @param {Partial<Word>} [more]
 * @returns {Word}
 */
function word(place, x, y, text, more = {}) {
  return { x, y, text, colour: place.paint("ink-soft"), align: "left", style: "normal", dx: 0, dy: 0, ...more };
}

/** Names at the curves' ends, beside one another where they would touch.
 * @param {Place} place @param {Kind} kind @param {Data} data @returns {Word[]} */
function curveNames(place, kind, data) {
  const { start, end } = place.x;
  const { top, bottom } = place.frame;
  /** @type {Word[]} */
  const out = [];
  for (const [line, { x, y }] of present(kind, data)) {
    if (!y || !line.short) continue;
    const [first, last] = [x[0], x[x.length - 1]].sort((p, q) => p - q);
    const at = Math.min(Math.max(end, first), last);
    const value = valueAt(x, y, at, line.step);
    if (value === null || (at - start) * (at - end) > 1e-9 * (end - start) ** 2) continue;
    if (place.py(value) < top - 1 || place.py(value) > bottom + 1) continue;
    out.push(word(place, at, value, line.short, { colour: place.paint(line.colour), style: "bold", dx: 6 }));
  }
  const wanted = out.map(({ y }) => place.py(y));
  spread(wanted, LINE_PX, top, bottom).forEach((height, k) => (out[k].dy = height - place.py(out[k].y)));
  return out;
}

/** Words in bands across, at their upper edge.
 * @param {Place} place @param {Data} data @returns {Word[]} */
function bandWords(place, { bands = [] }) {
  const { top, bottom } = place.frame;
  return bands
    .filter(({ low, high, label }) => label && place.py(high) > top - 1 && place.py(low) < bottom + 1)
    .map(({ high, label }) => word(place, place.x.end, high, label ?? "", { align: "right", dx: -4, dy: 9 }));
}

/** Words at lines across: above them, each clear of the one below; under a line at the top.
 * @param {Place} place @param {Data} data @returns {Word[]} */
function levelWords(place, { levels = [] }) {
  const shown = levels.filter(({ label, minor }) => label && !(minor && place.frame.width < NARROW_PX));
  return [true, false].flatMap((left) => {
    const these = shown.filter((level) => Boolean(level.left) === left);
    return levelsOfSide(place, these, left, levels.map(({ y }) => place.py(y)));
  });
}

/** @param {Place} place @param {import("./chart_data.js").Level[]} levels @param {boolean} left
 * @param {number[]} lines heights of all lines across, px: none goes through a word if it can be helped
 * @returns {Word[]} */
function levelsOfSide(place, levels, left, lines) {
  const { top, bottom } = place.frame;
  const struck = (/** @type {number} */ height) => lines.some((line) => Math.abs(line - height) < STROKE_PX);
  const out = [];
  let floor = Infinity;
  for (const { y, label = "", colour } of levels.sort((p, q) => p.y - q.y)) {
    const own = place.py(y);
    if (own < top - 1 || own > bottom + 1) continue;
    let height = Math.min(own - 7, floor - LINE_PX);
    const below = own + 8;
    const better = height < top || (struck(height) && !struck(below) && below < bottom);
    if (better && below < floor - LINE_PX) height = below;
    floor = height;
    const more = { align: left ? "left" : "right", dx: left ? 4 : -4, dy: height - own };
    const painted = colour ? { colour: place.paint(colour) } : {};
    out.push(word(place, left ? place.x.start : place.x.end, y, label, { ...more, ...painted }));
  }
  return out;
}

/** Words at lines upward and shades: at the top or foot, a line further in where they would touch.
 * @param {Place} place @param {Data} data @returns {Word[]} */
function markWords(place, { marks = [], shades = [] }) {
  const { left, right, top, bottom } = place.frame;
  const { start: foot, end: head } = place.y;
  /** @type {(import("./chart_data.js").Mark & { middle?: boolean })[]} */
  const all = [...marks, ...shades.map(({ from, to, label }) => ({ x: (from + to) / 2, label, middle: true }))];
  /** @type {Record<string, number[]>} */
  const rows = { foot: [], head: [] };
  return all
    .filter(({ x, label }) => label && place.px(x) >= left - 1 && place.px(x) <= right + 1)
    .sort((p, q) => place.px(p.x) - place.px(q.x))
    .map(({ x, label = "", middle, foot: low, colour }) => {
      const wide = label.length * LETTER_PX + 8;
      const align = middle ? "center" : place.px(x) + wide > right ? "right" : "left";
      const from = place.px(x) - { center: wide / 2, right: wide, left: 0 }[align];
      const taken = low ? rows.foot : rows.head;
      let row = taken.findIndex((end) => end < from);
      if (row < 0) row = taken.length;
      taken[row] = from + wide;
      const dx = { center: 0, right: -4, left: 4 }[align];
      const [y, dy] = low
        ? [foot, bottom - place.py(foot) - 9 - LINE_PX * row]
        : [head, top - place.py(head) + 9 + LINE_PX * row];
      return word(place, x, y, label, { colour: place.paint(colour ?? "ink-soft"), align, dx, dy });
    });
}

/** Words beside dots.
 * @param {Place} place @param {Data} data @returns {Word[]} */
function dotWords(place, { dots = [] }) {
  const { left, right } = place.frame;
  return dots
    .filter(({ x, label }) => label && place.px(x) >= left && place.px(x) <= right)
    .map(({ x, y, label = "" }) => {
      const late = place.px(x) + label.length * LETTER_PX + 12 > right;
      return word(place, x, y, label, { align: late ? "right" : "left", dx: late ? -9 : 9, dy: -8 });
    });
}

/** Short strokes at the foot, as for natural frequencies.
 * @param {Place} place @param {Data} data @returns {Word[]} */
function ticks(place, data) {
  const { start, end } = place.x;
  return (data.ticks ?? [])
    .filter(({ x }) => (x - start) * (x - end) <= 0)
    .map(({ x, side }) =>
      word(place, x, place.y.start, "|", { colour: place.paint(side), align: "center", style: "bold", dy: -7 }),
    );
}
