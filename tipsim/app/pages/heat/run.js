// From the server's packet to two needles and their temperatures at any time.

import { decode } from "../../framework/packet.js";

/**
 * @typedef {{ layer: string, side: string, start: number, count: number, at: number }} Row
 * @typedef {{ time: number, words: string, press: {grams: number, place: number, length: number} | null }} Moment
 * @typedef {any} Side
 */

/** Decode a packet: the run, with each side's temperatures ready to be read. */
export function readRun(data) {
  const run = decode(data);
  for (const side of run.sides) {
    let at = 0;
    for (const row of side.rows) {
      row.at = at;
      at += row.count;
    }
    side.width = at;
    side.slices = side.edges.length - 1;
    side.length = side.edges[side.slices];
    side.frames = side.sheet.length / at;
    side.now = new Float32Array(at);
  }
  return run;
}

/**
 * Where a time lies among rising times: index before, and share of the way to the next.
 * @param {ArrayLike<number>} times
 * @param {number} count how many of them are used
 * @param {number} t
 * @returns {[number, number]}
 */
export function between(times, count, t) {
  let low = 0;
  let high = count - 1;
  if (t >= times[high]) return [high, 0];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (times[middle] <= t) low = middle;
    else high = middle;
  }
  return [low, Math.max(0, (t - times[low]) / (times[high] - times[low]))];
}

/** Fill `side.now` with all temperatures [°C] at a time; beyond its end the last stand. */
export function setTime(run, side, t) {
  const [i, w] = between(run.times, side.frames, t);
  const a = i * side.width;
  const b = Math.min(i + 1, side.frames - 1) * side.width;
  const { sheet, now } = side;
  for (let k = 0; k < side.width; k++) now[k] = ((1 - w) * sheet[a + k] + w * sheet[b + k]) * run.step;
}

/** What is set on a side at a time. @returns {Moment} */
export const momentAt = (side, t) => side.moments.findLast(({ time }) => time <= t) ?? side.moments[0];

/** A row by layer and side of the cut; the lumen has one row for both sides. */
export const rowOf = (side, layer, which) =>
  side.rows.find((row) => row.layer === layer && (row.side === which || row.side === "middle"));

/** The slice at a distance from the tip [mm], or null beyond the hub. */
export function sliceAt(side, fromEnd) {
  const s = side.length - fromEnd;
  if (s < -1e-6 || s > side.length + 1e-6) return null;
  let i = 0;
  while (i < side.slices - 1 && side.edges[i + 1] < s) i++;
  return i;
}

/** The middle of a slice, from the tip [mm]. */
export const middleOf = (side, i) => side.length - (side.edges[i] + side.edges[i + 1]) / 2;

/** Temperature now [°C] of a row at a distance from the tip, between the middles of its cells. */
export function read(side, row, fromEnd) {
  const i = row ? sliceAt(side, fromEnd) : null;
  if (i === null || i < row.start || i >= row.start + row.count) return null;
  const here = middleOf(side, i);
  const j = Math.min(Math.max(fromEnd > here ? i - 1 : i + 1, row.start), row.start + row.count - 1);
  const value = (k) => side.now[row.at + k - row.start];
  if (j === i) return value(i);
  const w = Math.min(1, Math.abs((fromEnd - here) / (middleOf(side, j) - here)));
  return (1 - w) * value(i) + w * value(j);
}

/** The hottest cell of some rows now: {celsius, row, fromEnd}. */
export function hottest(side, rows = side.rows) {
  let best = null;
  for (const row of rows) {
    for (let k = 0; k < row.count; k++) {
      const celsius = side.now[row.at + k];
      if (best === null || celsius > best.celsius) best = { celsius, row, fromEnd: middleOf(side, row.start + k) };
    }
  }
  return best;
}

export const LAYER_WORDS = {
  bore: "fluid in the lumen",
  metal: "metal",
  annulus: "fluid in the sleeve",
  inner: "sleeve, inside",
  outer: "sleeve, outside",
  near: "tissue at the sleeve",
  far: "tissue behind it",
};
const SIDE_WORDS = { pressed: "pressed side", other: "other side", middle: "" };

/** A row in words: "metal, pressed side". */
export const rowWords = (row) => [LAYER_WORDS[row.layer], SIDE_WORDS[row.side]].filter(Boolean).join(", ");
