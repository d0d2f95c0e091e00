// Colours of the canvas, read from the page's CSS variables, and the ramp of the metal.

import { colours as readerOf } from "../theme.js";

const NAMES = [
  "paper", "panel", "ink", "ink-soft", "line", "line-strong", "accent", "a", "a-ink", "b", "b-ink", "c", "c-ink",
  "d", "d-ink", "sleeve",
  "metal-edge", "metal-deep", "metal-shade", "metal-mid", "metal-light", "metal-glint", "metal-bounce",
  "metal-bore", "metal-bore-far",
];

const FADE_LEVELS = 16;
// Shades are made once for each such step of the light, and kept.
const LIGHT_STEP = Math.PI / 120;

/** Where the light comes from: right, up, toward the eye. */
export const LIGHT = unit(-0.3, 0.66, 0.69);

function unit(x, y, z) {
  const size = Math.hypot(x, y, z);
  return [x / size, y / size, z / size];
}

// Angle from the brightest line round the tube (degrees) and the colour there. Past the dark
// core the surface brightens a little again: light that comes back from below.
const METAL = [
  [180, "metal-shade"],
  [140, "metal-bounce"],
  [114, "metal-deep"],
  [88, "metal-shade"],
  [58, "metal-mid"],
  [30, "metal-light"],
  [11, "metal-glint"],
  [0, "metal-glint"],
];

/** Read all colours once; again when the theme changes. */
export function readPalette(element) {
  const read = readerOf(element);
  const colours = Object.fromEntries(NAMES.map((name) => [name, read(name)]));
  return { colours, font: getComputedStyle(element).fontFamily || "sans-serif", across: new Map(), round: new Map() };
}

/**
 * Shade across a tube, from its upper edge (y = -1) to its lower (y = +1), where the light comes
 * from the angle `light` (0 faces the eye). Paler with the depth (mm) behind the nearest point:
 * what lies far behind steps back. Kept as small pictures: they fill faster than gradients.
 */
export function metalAcross(ctx, palette, light, depth) {
  const turn = Math.round(light / LIGHT_STEP);
  const level = fadeLevel(depth);
  const key = turn * (FADE_LEVELS + 1) + level;
  if (!palette.across.has(key)) palette.across.set(key, acrossPattern(ctx, palette, turn * LIGHT_STEP, level));
  return palette.across.get(key);
}

function acrossPattern(ctx, { colours }, light, level) {
  return picturePattern(ctx, 4, 256, 1.05, (pen) => {
    const shade = pen.createLinearGradient(0, 1, 0, -1);
    for (let degrees = -90; degrees <= 90; degrees += 5) {
      const angle = (degrees * Math.PI) / 180;
      const away = (Math.abs(angle - light) * 180) / Math.PI;
      const metal = metalAt(colours, Math.min(away, 360 - away));
      shade.addColorStop(0.5 + 0.5 * Math.sin(angle), faded(metal, colours, level));
    }
    return shade;
  });
}

/** The same shades round the unit circle, for a cone that points at the eye. */
export function metalRound(ctx, palette, depth) {
  const level = fadeLevel(depth);
  if (!palette.round.has(level)) palette.round.set(level, roundPattern(ctx, palette, level));
  return palette.round.get(level);
}

function roundPattern(ctx, { colours }, level) {
  return picturePattern(ctx, 384, 384, 1.05, (pen) => {
    const shade = pen.createConicGradient(Math.atan2(-LIGHT[1], LIGHT[0]), 0, 0);
    for (let degrees = 0; degrees <= 360; degrees += 10) {
      const metal = metalAt(colours, Math.min(degrees, 360 - degrees));
      shade.addColorStop(degrees / 360, faded(metal, colours, level));
    }
    return shade;
  });
}

/** A pattern that shows `shade` over the square from -1 to +1. */
function picturePattern(ctx, width, height, edge, shade) {
  const picture = document.createElement("canvas");
  picture.width = width;
  picture.height = height;
  const pen = picture.getContext("2d");
  pen.setTransform(width / 2 / edge, 0, 0, height / 2 / edge, width / 2, height / 2);
  pen.fillStyle = shade(pen);
  pen.fillRect(-2, -2, 4, 4);
  const pattern = ctx.createPattern(picture, "repeat");
  pattern.setTransform(new DOMMatrix([(2 * edge) / width, 0, 0, (2 * edge) / height, -edge, -edge]));
  return pattern;
}

function fadeLevel(depth) {
  return Math.round(Math.min(1, Math.max(0, (depth - 8) / 10)) * FADE_LEVELS);
}

function faded(metal, colours, level) {
  return level ? mixColours(metal, colours.paper, (0.6 * level) / FADE_LEVELS) : metal;
}

function metalAt(colours, degrees) {
  let k = 1;
  while (k < METAL.length - 1 && METAL[k][0] > degrees) k++;
  const [high, from] = /** @type {[number, string]} */ (METAL[k - 1]);
  const [low, to] = /** @type {[number, string]} */ (METAL[k]);
  return mixColours(colours[from], colours[to], Math.min(1, Math.max(0, (high - degrees) / (high - low))));
}

/** Between two rgb() colours, as rgb(). */
export function mixColours(from, to, w) {
  const [a, b] = [from, to].map((colour) => colour.match(/[\d.]+/g).map(Number));
  return `rgb(${a.map((channel, k) => Math.round(channel * (1 - w) + b[k] * w)).join(" ")})`;
}
