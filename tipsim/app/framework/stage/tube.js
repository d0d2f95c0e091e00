// A bent, tapered, moving tube in orthographic view.
//
// Here is where it lies on the screen: tube_outline.js draws along it, tube_paint.js paints it.

import { LIGHT } from "./palette.js";

// Cosine between axis and line of sight from which a stretch needs its round end.
export const STEEP = 0.8;
export const HALF_TURN = Math.PI / 2;

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

export let outRight = 0;
export let outUp = 0;
export let outToward = 0;

/**
 * Direction square to the axis at `angle` round it, counted from the direction square to the
 * plane of the bends; into outRight, outUp, outToward, so that nothing is allocated per node.
 */
export function surfaceDirection(tube, i, angle) {
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
