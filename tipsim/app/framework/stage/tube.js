// A bent, tapered, moving tube in orthographic view, shaded as metal.
//
// Across a tube the shade depends only on the angle from the line that faces the light. So a
// short stretch is one polygon with a straight gradient across it, and the stretches, laid from
// far to near, are the needle. Where the tube points at the eye each stretch begins with its
// own round end, so that bends seen from the front close up.

import { LIGHT, metalAcross, metalRound, mixColours } from "./palette.js";

// Cosine between axis and line of sight from which a stretch needs its round end.
export const STEEP = 0.8;
const HALF_TURN = Math.PI / 2;
const CAP_STEPS = 12;
const RIM_STEPS = 44;
const TWIST_LINES = 4;
// How far one stretch may go on: in px, in the cosine of its turn, in its share of the radius.
const LONGEST_STRETCH = 80;
const LONGEST_STEEP = 9;
const SAME_WAY = 0.998;
const SAME_WIDTH = 0.02;
const OVERLAP = 0.8;

/** Room for the numbers of one tube; filled by `placeTube`, read by the painters. */
export function makeTube(side) {
  const array = () => new Float64Array(side.n);
  const tan = Math.tan(((side.bevel_deg || 0) * Math.PI) / 180);
  return {
    side,
    first: 0,
    last: lastBefore(side, side.length - side.outer[side.n - 1] * tan),
    x: array(), y: array(), z: array(), r: array(),
    px: array(), py: array(), ax: array(), ay: array(), av: array(),
    light: array(), twist: array(),
    mouth: [0, 0, 1],
    hub: [0, 0, -1],
    bevel: [Math.cos(Math.atan(tan)), Math.sin(Math.atan(tan))],
    bevelTurn: bevelTurn(side),
    m: new Float64Array(9),
  };
}

/** The packet leaves open which way the bevel looks: drawn in the plane of the bends, turned
 * back towards the shaft's direction. */
function bevelTurn(side) {
  return side.tangent[3 * side.n - 2] < 0 ? -HALF_TURN : HALF_TURN;
}

/** The last node before the bevel's cut begins: the ribbons run up to it, then follow the cut. */
function lastBefore(side, s) {
  let i = side.n - 1;
  while (i > 1 && side.s[i] > s - 0.02) i--;
  return i;
}

/**
 * Put the tube where it is at one phase.
 * @param {object} tube from makeTube
 * @param {number} phase rad
 * @param {number} exaggeration of displacements and of rotations
 * @param {object} eye {m: 9 numbers, scale: px/mm, ox, oy: px}
 * @param {number} fromS mm from the hub; what lies before is not drawn
 */
export function placeTube(tube, phase, exaggeration, eye, fromS) {
  const { side } = tube;
  const { n, rest, amp, tangent } = side;
  const { m, scale, ox, oy } = eye;
  const c = Math.cos(phase);
  const s = Math.sin(phase);
  const grow = exaggeration * 1e-3;
  tube.m.set(m);
  tube.first = 0;
  while (tube.first < tube.last - 2 && side.s[tube.first] < fromS) tube.first++;
  for (let i = tube.first; i < n; i++) {
    const j = 12 * i;
    const k = 3 * i;
    const X = rest[k] + grow * (amp[j] * c - amp[j + 1] * s);
    const Y = rest[k + 1] + grow * (amp[j + 2] * c - amp[j + 3] * s);
    const Z = rest[k + 2] + grow * (amp[j + 4] * c - amp[j + 5] * s);
    tube.x[i] = ox + scale * (m[0] * X + m[1] * Y + m[2] * Z);
    tube.y[i] = oy - scale * (m[3] * X + m[4] * Y + m[5] * Z);
    tube.z[i] = scale * (m[6] * X + m[7] * Y + m[8] * Z);
    tube.r[i] = scale * side.outer[i];
    tube.twist[i] =
      exaggeration *
      (tangent[k] * (amp[j + 6] * c - amp[j + 7] * s) +
        tangent[k + 1] * (amp[j + 8] * c - amp[j + 9] * s) +
        tangent[k + 2] * (amp[j + 10] * c - amp[j + 11] * s));
  }
  aim(tube);
  aimMouth(tube);
  tube.hub[0] = -tube.ax[0];
  tube.hub[1] = -tube.ay[0];
  tube.hub[2] = -tube.av[0];
}

/** Axis, screen-perpendicular and angle to the light at each node. */
function aim(tube) {
  const { x, y, z, px, py, ax, ay, av } = tube;
  const last = tube.side.n - 1;
  for (let i = tube.first; i <= last; i++) {
    const from = i > tube.first ? i - 1 : i;
    const to = i < last ? i + 1 : i;
    const dx = x[to] - x[from];
    const dy = y[from] - y[to];
    const dz = z[to] - z[from];
    const size = Math.hypot(dx, dy, dz) || 1;
    ax[i] = dx / size;
    ay[i] = dy / size;
    av[i] = dz / size;
    const flat = Math.hypot(ax[i], ay[i]);
    if (flat > 1e-3) {
      px[i] = -ay[i] / flat;
      py[i] = ax[i] / flat;
    } else {
      px[i] = i > tube.first ? px[i - 1] : 0;
      py[i] = i > tube.first ? py[i - 1] : 1;
    }
    const across = px[i] * LIGHT[0] + py[i] * LIGHT[1];
    const along = ax[i] * LIGHT[0] + ay[i] * LIGHT[1] + av[i] * LIGHT[2];
    const facing = (LIGHT[2] - av[i] * along) / Math.max(flat, 0.05);
    tube.light[i] = Math.atan2(across, facing);
  }
}

/** Outward normal of the mouth's plane on the screen (right, up, toward); it turns with the twist. */
function aimMouth(tube) {
  const i = tube.side.n - 1;
  const [cos, sin] = tube.bevel;
  surfaceDirection(tube, i, tube.twist[i] + tube.bevelTurn);
  tube.mouth[0] = cos * tube.ax[i] + sin * outRight;
  tube.mouth[1] = cos * tube.ay[i] + sin * outUp;
  tube.mouth[2] = cos * tube.av[i] + sin * outToward;
}

let outRight = 0;
let outUp = 0;
let outToward = 0;

/**
 * Direction square to the axis at `angle` round it, counted from the direction square to the
 * plane of the bends; into outRight, outUp, outToward, so that nothing is allocated per node.
 */
function surfaceDirection(tube, i, angle) {
  const { m, side, ax, ay, av } = tube;
  const sin = Math.sin(angle);
  const x = side.tangent[3 * i + 1] * sin;
  const y = -side.tangent[3 * i] * sin;
  const z = Math.cos(angle);
  const right = m[0] * x + m[1] * y + m[2] * z;
  const up = m[3] * x + m[4] * y + m[5] * z;
  const toward = m[6] * x + m[7] * y + m[8] * z;
  const slip = right * ax[i] + up * ay[i] + toward * av[i];
  outRight = right - slip * ax[i];
  outUp = up - slip * ay[i];
  outToward = toward - slip * av[i];
  const size = Math.hypot(outRight, outUp, outToward) || 1;
  outRight /= size;
  outUp /= size;
  outToward /= size;
}

// ---- painting -------------------------------------------------------------------------------

/** Paint the whole tube: outline, metal, mouth. */
export function paintTube(ctx, tube, palette) {
  const { side, first, last, z } = tube;
  const mouthIsNear = z[side.n - 1] >= z[first];
  ctx.fillStyle = palette.colours["metal-edge"];
  ctx.beginPath();
  traceSilhouette(ctx, tube, 0.9);
  ctx.fill();
  const base = ctx.getTransform();
  ctx.imageSmoothingEnabled = false;
  if (mouthIsNear) for (let i = first; i < last; ) i = paintStretch(ctx, tube, i, 1, base, palette);
  else for (let i = last; i > first; ) i = paintStretch(ctx, tube, i, -1, base, palette);
  ctx.setTransform(base);
  if (!mouthIsNear && first === 0) paintOpening(ctx, tube, 0, tube.hub, palette);
  paintOpening(ctx, tube, side.n - 1, tube.mouth, palette);
}

/** Paint from node `i` as far as one gradient serves; returns where it ends. */
function paintStretch(ctx, tube, i, step, base, palette) {
  const j = stretchEnd(tube, i, step);
  const { x, y, r, px, py, av, light } = tube;
  // From the side no part steps back: the shade would only show where one stretch ends.
  const depth = Math.abs(tube.m[6]) > STEEP ? depthBehind(tube, i) : 0;
  const steep = Math.abs(av[i]) > STEEP;
  ctx.setTransform(base);
  ctx.beginPath();
  if (steep) traceEllipse(ctx, tube, i, 0);
  traceStretch(ctx, tube, Math.min(i, j), Math.max(i, j), step);
  // A cone that points at the eye is seen all round; everything else from one side.
  const cone = steep && isCone(r, i, i + step);
  if (cone) {
    ctx.transform(r[i], 0, 0, r[i], x[i], y[i]);
    ctx.fillStyle = metalRound(ctx, palette, depth);
  } else {
    const radius = (r[i] + r[j]) / 2;
    const mx = (x[i] + x[j]) / 2;
    const my = (y[i] + y[j]) / 2;
    ctx.transform(radius * py[i], radius * px[i], -radius * px[i], radius * py[i], mx, my);
    ctx.fillStyle = metalAcross(ctx, palette, light[i], depth);
  }
  ctx.fill();
  return j;
}

/** Up to where the direction and the radius stay much the same; a cone that points at the eye, whole. */
function stretchEnd({ x, y, r, ax, ay, av, first, last }, i, step) {
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

function isCone(r, i, j) {
  return Math.abs(r[i] - r[j]) > 0.01 * r[i];
}

/**
 * Outline of the stretch from node `from` to node `to`, a little longer at its near end, so that
 * no seam shows; it follows the cut of the mouth or the hub where it ends there.
 */
function traceStretch(path, tube, from, to, step) {
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

/** How far node `i` lies behind the nearer end, in mm. */
function depthBehind({ z, r, first, side }, i) {
  return (Math.max(z[first], z[side.n - 1]) - z[i]) * (side.outer[i] / r[i]);
}

// ---- outlines -------------------------------------------------------------------------------

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
function traceEllipse(path, { x, y, r, px, py, av }, i, grow) {
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
function traceRim(path, tube, i, normal, radius) {
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

// ---- details --------------------------------------------------------------------------------

/** A cut end that faces the eye: the wall's face and the bore. */
function paintOpening(ctx, tube, i, normal, palette) {
  if (normal[2] < 0.02) return;
  const { colours } = palette;
  const bore = (tube.r[i] * tube.side.inner[i]) / tube.side.outer[i];
  const lit = 0.5 + 0.5 * (normal[0] * LIGHT[0] + normal[1] * LIGHT[1] + normal[2] * LIGHT[2]);
  ctx.beginPath();
  traceRim(ctx, tube, i, normal, tube.r[i]);
  ctx.fillStyle = mixColours(colours["metal-shade"], colours["metal-glint"], lit * lit);
  ctx.fill();
  ctx.lineWidth = 0.8;
  ctx.strokeStyle = colours["metal-edge"];
  ctx.stroke();
  ctx.beginPath();
  traceRim(ctx, tube, i, normal, bore);
  const shade = ctx.createLinearGradient(
    tube.x[i] + bore * LIGHT[0], tube.y[i] - bore * LIGHT[1],
    tube.x[i] - bore * LIGHT[0], tube.y[i] + bore * LIGHT[1],
  );
  shade.addColorStop(0, colours["metal-bore"]);
  shade.addColorStop(0.55, colours["metal-bore"]);
  shade.addColorStop(1, colours["metal-bore-far"]);
  ctx.fillStyle = shade;
  ctx.fill();
  ctx.stroke();
}

/** Lines engraved along the metal, so that its twist is seen. */
export function paintTwist(ctx, tube, palette) {
  const { x, y, r, first, last } = tube;
  ctx.beginPath();
  for (let line = 0; line < TWIST_LINES; line++) {
    let pen = false;
    for (let i = first; i <= last; i++) {
      const angle = tube.twist[i] + (line * 2 * Math.PI) / TWIST_LINES;
      surfaceDirection(tube, i, angle);
      if (outToward < 0.12 || Math.abs(tube.av[i]) > STEEP) {
        pen = false;
        continue;
      }
      const X = x[i] + r[i] * outRight;
      const Y = y[i] - r[i] * outUp;
      if (pen) ctx.lineTo(X, Y);
      else ctx.moveTo(X, Y);
      pen = true;
    }
  }
  ctx.globalAlpha = 0.55;
  ctx.lineWidth = 0.9;
  ctx.strokeStyle = palette.colours["metal-edge"];
  ctx.stroke();
  ctx.globalAlpha = 1;
}
