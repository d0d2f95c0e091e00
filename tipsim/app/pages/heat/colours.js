// One scale of colours for temperature, even to the eye, and rising in lightness all the way, so
// that it reads in grey and without red or green. Every sixteenth colour of "inferno" by
// N. J. Smith and S. van der Walt (2015), released under CC0; straight lines between.

import { ticks } from "../../framework/make.js";

const INFERNO = [
  ..."000003 0a0723 200c4a 3c0965 570f6d 70196e 892269 a32b61 bb3754".split(" "),
  ..."d14643 e45a31 f1721d f98e08 fbac10 f8cb34 f1e968 fcfea4".split(" "),
];
// The blackest seventh is left out: lines drawn on it could not be seen.
const FIRST = 0.14;
const STEPS = 256;

/** @param {string} hex @param {number} k which of three */
const channel = (hex, k) => parseInt(hex.slice(2 * k, 2 * k + 2), 16);

/** Red, green and blue (0 to 255) of a place on the scale (0 to 1). @param {number} share */
export function rgbOf(share) {
  const place = (FIRST + (1 - FIRST) * Math.min(1, Math.max(0, share))) * (INFERNO.length - 1);
  const i = Math.min(INFERNO.length - 2, Math.floor(place));
  const w = place - i;
  return [0, 1, 2].map((k) => Math.round((1 - w) * channel(INFERNO[i], k) + w * channel(INFERNO[i + 1], k)));
}

/** @typedef {{ low: number, high: number }} Scale */

const TABLE = Array.from({ length: STEPS }, (_, k) => `rgb(${rgbOf(k / (STEPS - 1)).join(" ")})`);

/** The number of a temperature's colour in the table. @param {number} celsius @param {Scale} scale */
export const stepOf = (celsius, scale) =>
  Math.min(STEPS - 1, Math.max(0, Math.round(((celsius - scale.low) / (scale.high - scale.low)) * (STEPS - 1))));

/** @param {number} step */
export const colourOfStep = (step) => TABLE[step];
/** @param {number} celsius @param {Scale} scale */
export const colourOf = (celsius, scale) => TABLE[stepOf(celsius, scale)];

/** Black or white, whichever is read better on a temperature's colour. @param {number} celsius @param {Scale} scale */
export function inkOn(celsius, scale) {
  const [r, g, b] = rgbOf((celsius - scale.low) / (scale.high - scale.low));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b > 110 ? "#10181b" : "#ffffff";
}

/** Temperatures at which lines are drawn: round ones inside the scale, and 45 °C. @param {Scale} scale */
export function levelsOf(scale) {
  const round = ticks(scale.low, scale.high, 6).filter((v) => v > scale.low && v < scale.high);
  if (scale.low < 45 && scale.high > 45 && !round.includes(45)) round.push(45);
  return round.sort((x, y) => x - y);
}
