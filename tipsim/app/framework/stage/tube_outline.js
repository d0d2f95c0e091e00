// Outlines of a tube on the screen, into a path: of stretches, of the whole, of its cut ends.

import { HALF_TURN, STEEP } from "./tube.js";

const CAP_STEPS = 12;
const RIM_STEPS = 44;
// How far one stretch may go on: in px, in the cosine of its turn, in its share of the radius.
const LONGEST_STRETCH = 80;
const LONGEST_STEEP = 9;
const SAME_WAY = 0.998;
const SAME_WIDTH = 0.02;
const OVERLAP = 0.8;

/** Up to where the direction and the radius stay much the same; a cone that points at the eye, whole. */
export function stretchEnd({ x, y, r, ax, ay, av, first, last }, i, step) {
  const stop = step > 0 ? last : first;
  const steep = Math.abs(av[i]) > STEEP;
  const cone = steep && isCone(r, i, i + step);
  const longest = steep ? LONGEST_STEEP : LONGEST_STRETCH;
  let j = i + step;
  while (j !== stop) {
    const k = j + step;
    if (ax[i] * ax[k] + ay[i] * ay[k] + av[i] * av[k] < SAME_WAY) break;
    if (cone ? !isCone(r, j, k) : Math.abs(r[i] - r[k]) > SAME_WIDTH * r[i]) break;
    if (Math.abs(x[i] - x[k]) + Math.abs(y[i] - y[k]) > longest || Math.abs(av[k]) > STEEP !== steep) break;
    j = k;
  }
  return j;
}

export function isCone(r, i, j) {
  return Math.abs(r[i] - r[j]) > 0.01 * r[i];
}

/**
 * Outline of the stretch from node `from` to node `to`, a little longer at its near end, so that
 * no seam shows; it follows the cut of the mouth or the hub where it ends there.
 */
export function traceStretch(path, tube, from, to, step) {
  const back = step < 0 ? -OVERLAP : 0;
  const on = step > 0 ? OVERLAP : 0;
  edgePoint(tube, from, 1, back);
  path.moveTo(edgeX, edgeY);
  for (let i = from + 1; i <= to; i++) {
    edgePoint(tube, i, 1, i === to ? on : 0);
    path.lineTo(edgeX, edgeY);
  }
  if (to === tube.last) traceCut(path, tube, tube.side.n - 1, tube.mouth, 0, 1);
  for (let i = to; i >= from; i--) {
    edgePoint(tube, i, -1, i === to ? on : i === from ? back : 0);
    path.lineTo(edgeX, edgeY);
  }
  if (from === 0) traceCut(path, tube, 0, tube.hub, 0, -1);
  path.closePath();
}

let edgeX = 0;
let edgeY = 0;

/** The upper (1) or lower (-1) edge at node `i`, shifted along the axis; into edgeX, edgeY. */
function edgePoint({ x, y, r, px, py }, i, side, shift) {
  edgeX = x[i] + side * r[i] * px[i] + shift * py[i];
  edgeY = y[i] - side * r[i] * py[i] + shift * px[i];
}

/**
 * Silhouette of the tube into a path. All parts turn the same way round, so that they add up
 * to one area where they overlap.
 */
export function traceSilhouette(path, tube, grow) {
  const { first, last, av } = tube;
  let from = first;
  for (let i = first; i < last; ) {
    if (Math.abs(av[i]) <= STEEP) {
      i += 1;
      continue;
    }
    const j = stretchEnd(tube, i, 1);
    if (i > from) traceRibbon(path, tube, from, i, grow);
    traceEllipse(path, tube, i, grow);
    traceEllipse(path, tube, j, grow);
    traceLink(path, tube, i, j, grow);
    from = i = j;
  }
  if (last > from) traceRibbon(path, tube, from, last, grow);
  traceMouth(path, tube, grow);
}

/** The outline between two nodes: upper edge, the mouth's cut, lower edge, the hub's. */
function traceRibbon(path, tube, from, to, grow) {
  const { x, y, r, px, py } = tube;
  for (let i = from; i <= to; i++) {
    const t = r[i] + grow;
    if (i === from) path.moveTo(x[i] + t * px[i], y[i] - t * py[i]);
    else path.lineTo(x[i] + t * px[i], y[i] - t * py[i]);
  }
  if (to === tube.last) traceCut(path, tube, tube.side.n - 1, tube.mouth, grow, 1);
  for (let i = to; i >= from; i--) {
    const t = r[i] + grow;
    path.lineTo(x[i] - t * px[i], y[i] + t * py[i]);
  }
  if (from === 0) traceCut(path, tube, 0, tube.hub, grow, -1);
  path.closePath();
}

/** The tube's cross-section at node `i`. */
export function traceEllipse(path, { x, y, r, px, py, av }, i, grow) {
  const size = r[i] + grow;
  const flat = size * Math.abs(av[i]);
  path.moveTo(x[i] + flat * py[i], y[i] + flat * px[i]);
  path.ellipse(x[i], y[i], flat, size, Math.atan2(px[i], py[i]), 0, 2 * Math.PI);
}

/** What lies between two cross-sections that point at the eye, clockwise. */
function traceLink(path, { x, y, r }, i, j, grow) {
  const dx = x[j] - x[i];
  const dy = y[j] - y[i];
  const gap = Math.hypot(dx, dy);
  if (gap < 1) return;
  const nx = dy / gap;
  const ny = -dx / gap;
  const ri = r[i] + grow;
  const rj = r[j] + grow;
  path.moveTo(x[i] + ri * nx, y[i] + ri * ny);
  path.lineTo(x[j] + rj * nx, y[j] + rj * ny);
  path.lineTo(x[j] - rj * nx, y[j] - rj * ny);
  path.lineTo(x[i] - ri * nx, y[i] - ri * ny);
  path.closePath();
}

/** Follow the visible part of a plane cut through the tube, from edge to edge. */
function traceCut(path, tube, i, normal, grow, way) {
  for (let k = 0; k <= CAP_STEPS; k++) {
    cutPoint(tube, i, normal, way * (HALF_TURN - (Math.PI * k) / CAP_STEPS), tube.r[i] + grow);
    path.lineTo(cutX, cutY);
  }
}

let cutX = 0;
let cutY = 0;

/** Where the surface line at `angle` (0 faces the eye) meets a plane through node `i`; into cutX, cutY. */
function cutPoint(tube, i, normal, angle, radius) {
  const { ax, ay, av, px, py } = tube;
  const sin = Math.sin(angle);
  const cos = Math.cos(angle);
  const x = sin * px[i] - cos * av[i] * py[i];
  const y = sin * py[i] + cos * av[i] * px[i];
  const v = cos * Math.hypot(ax[i], ay[i]);
  const along = ax[i] * normal[0] + ay[i] * normal[1] + av[i] * normal[2];
  const h = -(x * normal[0] + y * normal[1] + v * normal[2]) / along;
  cutX = tube.x[i] + radius * (x + h * ax[i]);
  cutY = tube.y[i] - radius * (y + h * ay[i]);
}

/** The rim of a cut, clockwise on the screen whichever way it faces. */
export function traceRim(path, tube, i, normal, radius) {
  const way = normal[2] < 0 ? -1 : 1;
  for (let k = 0; k < RIM_STEPS; k++) {
    cutPoint(tube, i, normal, (way * 2 * Math.PI * k) / RIM_STEPS, radius);
    if (k === 0) path.moveTo(cutX, cutY);
    else path.lineTo(cutX, cutY);
  }
  path.closePath();
}

/** The mouth's rim alone. */
export function traceMouth(path, tube, grow) {
  const i = tube.side.n - 1;
  traceRim(path, tube, i, tube.mouth, tube.r[i] + grow);
}

/** Ring of a cut end as a path of its own, for the sleeve. */
export function traceRing(path, tube, i, radius) {
  traceRim(path, tube, i, [tube.ax[i], tube.ay[i], tube.av[i]], radius);
}
