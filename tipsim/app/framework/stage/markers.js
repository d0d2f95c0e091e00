// The tracked points: numbered dots, the path each runs through, its fading trail, its velocity.
//
// Everything is computed from the complex amplitude, nothing is remembered from frame to frame,
// so a picture depends on the phase alone.

import { DEGREE } from "./camera.js";

const TRAIL_DEGREES = 150;
const TRAIL_GROUPS = 6;
const TRAIL_STEPS = 4;

/** Numbers of one needle's markers as they were last drawn; arrays of x, y, z. */
export function makeMarks(side) {
  const count = side.marks.length;
  return {
    side,
    count,
    px: new Float64Array(2 * count), // pixels
    mm: new Float64Array(3 * count), // displaced place, with exaggeration
    um: new Float64Array(3 * count), // true displacement
    radius: 9,
    phase: 0,
  };
}

/** Put the markers where they are at one phase. */
export function placeMarks(marks, phase, exaggeration, eye) {
  const c = Math.cos(phase);
  const s = Math.sin(phase);
  const { m, scale, ox, oy } = eye;
  marks.phase = phase;
  for (let k = 0; k < marks.count; k++) {
    const { rest, re, im } = marks.side.marks[k];
    const j = 3 * k;
    for (let d = 0; d < 3; d++) {
      marks.um[j + d] = re[d] * c - im[d] * s;
      marks.mm[j + d] = rest[d] + exaggeration * 1e-3 * marks.um[j + d];
    }
    const [X, Y, Z] = [marks.mm[j], marks.mm[j + 1], marks.mm[j + 2]];
    marks.px[2 * k] = ox + scale * (m[0] * X + m[1] * Y + m[2] * Z);
    marks.px[2 * k + 1] = oy - scale * (m[3] * X + m[4] * Y + m[5] * Z);
  }
}

/** Dots shrink where they would touch each other. */
export function sizeMarks(marks, eye) {
  placeMarks(marks, 0, 0, eye);
  let gap = Infinity;
  for (let k = 1; k < marks.count; k++) {
    const dx = marks.px[2 * k] - marks.px[2 * k - 2];
    const dy = marks.px[2 * k + 1] - marks.px[2 * k - 1];
    gap = Math.min(gap, Math.hypot(dx, dy));
  }
  marks.radius = Math.min(9.5, Math.max(eye.scale > 40 ? 8 : 6.5, gap * 0.46));
}

/** The closed path of each marker, for one view; changes with the view, not with the phase. */
export function tracePaths(marks, exaggeration, eye) {
  const path = new Path2D();
  for (let degrees = 0; degrees <= 360; degrees += 10) {
    placeMarks(marks, degrees * DEGREE, exaggeration, eye);
    for (let k = 0; k < marks.count; k++) {
      marks.orbit = marks.orbit || [];
      (marks.orbit[k] = degrees ? marks.orbit[k] : []).push(marks.px[2 * k], marks.px[2 * k + 1]);
    }
  }
  for (const orbit of marks.orbit || []) {
    path.moveTo(orbit[0], orbit[1]);
    for (let k = 2; k < orbit.length; k += 2) path.lineTo(orbit[k], orbit[k + 1]);
  }
  return path;
}

/** The last stretch of the way, fading. */
export function paintTrails(ctx, marks, exaggeration, eye, colour) {
  ctx.strokeStyle = colour;
  ctx.lineCap = "round";
  const step = (TRAIL_DEGREES * DEGREE) / (TRAIL_GROUPS * TRAIL_STEPS);
  for (let group = TRAIL_GROUPS - 1; group >= 0; group--) {
    const fresh = 1 - group / TRAIL_GROUPS;
    ctx.globalAlpha = 0.85 * fresh * fresh;
    ctx.lineWidth = 1 + 2.5 * fresh;
    ctx.beginPath();
    for (let k = 0; k < marks.count; k++) {
      for (let n = 0; n <= TRAIL_STEPS; n++) {
        trailPoint(marks, k, marks.phase - step * (group * TRAIL_STEPS + n), exaggeration, eye);
        if (n === 0) ctx.moveTo(trailX, trailY);
        else ctx.lineTo(trailX, trailY);
      }
    }
    ctx.stroke();
  }
  ctx.globalAlpha = 1;
}

let trailX = 0;
let trailY = 0;

/** Where marker `k` is at another phase; into trailX, trailY. */
function trailPoint(marks, k, phase, exaggeration, { m, scale, ox, oy }) {
  const { rest, re, im } = marks.side.marks[k];
  const c = Math.cos(phase) * exaggeration * 1e-3;
  const s = Math.sin(phase) * exaggeration * 1e-3;
  const X = rest[0] + re[0] * c - im[0] * s;
  const Y = rest[1] + re[1] * c - im[1] * s;
  const Z = rest[2] + re[2] * c - im[2] * s;
  trailX = ox + scale * (m[0] * X + m[1] * Y + m[2] * Z);
  trailY = oy - scale * (m[3] * X + m[4] * Y + m[5] * Z);
}

/** Numbered dots, each needle's of its own shape; filled in step with the tip, hollow out of step, grey neither. */
export function paintDots(ctx, marks, { colours, font }) {
  const key = marks.side.key.toLowerCase();
  const r = marks.radius;
  ctx.font = `700 ${Math.round(r * 1.3)}px ${font}`;
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  for (let k = marks.count - 1; k >= 0; k--) {
    const { way } = marks.side.marks[k];
    const own = way === "neither" ? colours["ink-soft"] : colours[key];
    const x = marks.px[2 * k];
    const y = marks.px[2 * k + 1];
    dotShape(ctx, x, y, r + 1.6, key);
    ctx.fillStyle = colours.paper;
    ctx.fill();
    dotShape(ctx, x, y, way === "with" ? r : r - 0.4, key);
    if (way === "with") {
      ctx.fillStyle = own;
      ctx.fill();
    } else {
      ctx.lineWidth = way === "against" ? 2 : 1;
      ctx.strokeStyle = own;
      ctx.stroke();
    }
    ctx.fillStyle = way === "with" ? colours[`${key}-ink`] : own;
    ctx.fillText(String(k + 1), x, y + 0.6);
  }
}

const CORNERS = { b: [1, 1, 1, 1], c: [3.2, 3.2, 0.2, 0.2], d: [0.4, 3.2, 0.4, 3.2] }; // of 2.5 px

/** Round for A, square for B, an arch for C, a leaf for D. */
function dotShape(ctx, x, y, r, key) {
  ctx.beginPath();
  if (key === "a") ctx.arc(x, y, r, 0, 2 * Math.PI);
  else ctx.roundRect(x - 0.9 * r, y - 0.9 * r, 1.8 * r, 1.8 * r, CORNERS[key].map((part) => 2.5 * part));
}

/** Momentary velocity, in the length that the point would travel in one radian of A's cycle. */
export function paintArrows(ctx, marks, exaggeration, ratio, eye, colour) {
  const { m, scale } = eye;
  const c = Math.cos(marks.phase) * exaggeration * 1e-3 * scale * ratio;
  const s = Math.sin(marks.phase) * exaggeration * 1e-3 * scale * ratio;
  ctx.strokeStyle = colour;
  ctx.fillStyle = colour;
  ctx.lineWidth = 2;
  ctx.lineCap = "butt";
  for (let k = 0; k < marks.count; k++) {
    const { re, im } = marks.side.marks[k];
    const vx = -re[0] * s - im[0] * c;
    const vy = -re[1] * s - im[1] * c;
    const vz = -re[2] * s - im[2] * c;
    const dx = m[0] * vx + m[1] * vy + m[2] * vz;
    const dy = -(m[3] * vx + m[4] * vy + m[5] * vz);
    arrow(ctx, marks.px[2 * k], marks.px[2 * k + 1], dx, dy, marks.radius + 2);
  }
}

/** From the dot's edge; nothing where the velocity would not leave the dot. */
function arrow(ctx, x, y, dx, dy, skip) {
  const size = Math.hypot(dx, dy);
  if (size < 3) return;
  const [ux, uy] = [dx / size, dy / size];
  const head = 7;
  const [sx, sy] = [x + ux * skip, y + uy * skip];
  const [ex, ey] = [sx + dx, sy + dy];
  ctx.beginPath();
  ctx.moveTo(sx, sy);
  ctx.lineTo(ex, ey);
  ctx.stroke();
  ctx.beginPath();
  ctx.moveTo(ex + ux * head, ey + uy * head);
  ctx.lineTo(ex - uy * head * 0.55, ey + ux * head * 0.55);
  ctx.lineTo(ex + uy * head * 0.55, ey - ux * head * 0.55);
  ctx.fill();
}

/** Copy of the last drawn numbers, for checks. */
export function reportMarks(marks) {
  return marks.side.marks.map((marker, k) => ({
    number: k + 1,
    distance_mm: marker.distance,
    px: [marks.px[2 * k], marks.px[2 * k + 1]],
    displaced_mm: Array.from(marks.mm.subarray(3 * k, 3 * k + 3)),
    displacement_um: Array.from(marks.um.subarray(3 * k, 3 * k + 3)),
  }));
}
