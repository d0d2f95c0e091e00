// What does not move within a view: the swept area, the needle at rest, places that stand
// still, the sleeve, the scale bar. Built once per view as paths, then only stroked or filled.

import { STEEP, makeTube, placeTube } from "./tube.js";
import { traceMouth, traceRing, traceSilhouette } from "./tube_outline.js";
import { makeMarks, tracePaths } from "./markers.js";

const MOUTH_PHASES = 48;
const FADE_PX = 48;
// So wide is what stands at a place without sideways motion.
const LABEL_PX = 172;
const SHORT_LABEL_PX = 54;
// Each needle has a line style of its own, so that letter, marker and line all tell the needles apart.
const REST_DASH = { A: [7, 5], B: [9, 4, 2, 4], C: [2, 3], D: [12, 3, 2, 3, 2, 3] };

/** All still paths of one needle in one view. */
export function buildScene(side, exaggeration, eye, fromS, withEnvelope, narrow) {
  const label = narrow ? SHORT_LABEL_PX : LABEL_PX;
  const still = side.still
    .filter((place) => side.length - place.distance >= fromS)
    .flatMap((place) => stillPlace(side, place, exaggeration, eye))
    .sort((a, b) => a.x - b.x);
  // Labels that would touch go on lines of their own.
  still.forEach((place, k) => {
    const taken = still.slice(0, k).filter(({ x }) => place.x - x < label).map(({ row }) => row);
    place.row = [0, 1, 2].find((row) => !taken.includes(row)) ?? 0;
    const far = `${place.distance.toFixed(1)} mm`;
    place.words = narrow ? far : `no sideways motion, ${far}`; // the legend says what the mark is
  });
  return {
    still,
    rest: restLine(side, eye, fromS),
    envelope: withEnvelope ? envelope(side, exaggeration, eye, fromS) : null,
    paths: tracePaths(makeMarks(side), exaggeration, eye),
    sleeve: side.tube ? sleevePaths(side.tube, eye, fromS - side.tube.start) : null,
  };
}

function project(eye, X, Y, Z) {
  const { m, scale, ox, oy } = eye;
  return [ox + scale * (m[0] * X + m[1] * Y + m[2] * Z), oy - scale * (m[3] * X + m[4] * Y + m[5] * Z)];
}

/** Where a place that stands still is drawn; none where one looks along the needle. */
function stillPlace(side, place, exaggeration, eye) {
  const i = Math.max(side.s.findIndex((s) => s >= side.length - place.distance), 0);
  const t = side.tangent.subarray(3 * i, 3 * i + 3);
  if (Math.abs(eye.m[6] * t[0] + eye.m[7] * t[1] + eye.m[8] * t[2]) > STEEP) return [];
  const [x, y] = project(eye, ...place.rest);
  return [{ x, y, r: place.radius * eye.scale, distance: place.distance, below: lowest(side, x, exaggeration, eye) }];
}

/** The lowest that the moving needle comes near `x`, so that a label can stand under it. */
function lowest(side, x, exaggeration, eye) {
  const { m, scale } = eye;
  let low = -Infinity;
  for (let i = 0; i < side.n; i++) {
    const [nx, ny] = project(eye, side.rest[3 * i], side.rest[3 * i + 1], side.rest[3 * i + 2]);
    if (Math.abs(nx - x) > 42) continue;
    const u = 12 * i;
    const re = m[3] * side.amp[u] + m[4] * side.amp[u + 2] + m[5] * side.amp[u + 4];
    const im = m[3] * side.amp[u + 1] + m[4] * side.amp[u + 3] + m[5] * side.amp[u + 5];
    low = Math.max(low, ny + scale * (side.outer[i] + exaggeration * 1e-3 * Math.hypot(re, im)));
  }
  return low;
}

function restLine(side, eye, fromS) {
  const path = new Path2D();
  let pen = false;
  for (let i = 0; i < side.n; i++) {
    if (side.s[i] < fromS) continue;
    const [x, y] = project(eye, side.rest[3 * i], side.rest[3 * i + 1], side.rest[3 * i + 2]);
    if (pen) path.lineTo(x, y);
    else path.moveTo(x, y);
    pen = true;
  }
  return path;
}

/**
 * What the needle sweeps in one cycle: between the places that each point of its edges reaches
 * farthest out, and the rims of the mouth on its way.
 */
function envelope(side, exaggeration, eye, fromS) {
  const path = new Path2D();
  const tube = makeTube(side);
  placeTube(tube, 0, 0, eye, fromS);
  const reach = { tube, side, grow: exaggeration * 1e-3, eye };
  const { first, av } = tube;
  const end = side.n - 1;
  for (let i = first; i < end; ) {
    const steep = Math.abs(av[i]) > STEEP;
    let to = i + 1;
    while (to < end && Math.abs(av[to]) > STEEP === steep) to++;
    if (steep) sweepRound(path, reach, i, to);
    else sweepAcross(path, reach, i, to);
    i = to;
  }
  for (let k = 0; k < MOUTH_PHASES; k++) {
    placeTube(tube, (2 * Math.PI * k) / MOUTH_PHASES, exaggeration, eye, side.length - 1);
    traceMouth(path, tube, 0);
  }
  return path;
}

/** Seen from the side: the farthest upper edge there, the farthest lower edge back. */
function sweepAcross(path, reach, from, to) {
  const { x, y, r, px, py } = reach.tube;
  for (let way = 1; way >= -1; way -= 2) {
    for (let k = from; k <= to; k++) {
      const i = way > 0 ? k : from + to - k;
      swing(reach, i, px[i], py[i]);
      const X = x[i] + way * (swingX + r[i] * px[i]);
      const Y = y[i] + way * (swingY - r[i] * py[i]);
      if (way > 0 && k === from) path.moveTo(X, Y);
      else path.lineTo(X, Y);
    }
  }
  path.closePath();
}

/** Seen from the front: from one end of each cross-section's way to the other. */
function sweepRound(path, reach, from, to) {
  const { x, y, r } = reach.tube;
  for (let i = from; i <= to; i++) {
    swing(reach, i, 0, 0);
    const turn = Math.atan2(swingY, swingX);
    path.moveTo(x[i] + swingX + r[i] * Math.sin(turn), y[i] + swingY - r[i] * Math.cos(turn));
    path.arc(x[i] + swingX, y[i] + swingY, r[i], turn - Math.PI / 2, turn + Math.PI / 2);
    path.arc(x[i] - swingX, y[i] - swingY, r[i], turn + Math.PI / 2, turn + 1.5 * Math.PI);
    path.closePath();
  }
}

let swingX = 0;
let swingY = 0;

/**
 * Displacement of node `i` on the screen (px, y down) where it is largest along (px, py), or
 * largest of all where that is 0, 0; into swingX, swingY.
 */
function swing({ side: { amp }, grow, eye }, i, px, py) {
  const { m, scale } = eye;
  const u = 12 * i;
  const rightRe = m[0] * amp[u] + m[1] * amp[u + 2] + m[2] * amp[u + 4];
  const rightIm = m[0] * amp[u + 1] + m[1] * amp[u + 3] + m[2] * amp[u + 5];
  const upRe = m[3] * amp[u] + m[4] * amp[u + 2] + m[5] * amp[u + 4];
  const upIm = m[3] * amp[u + 1] + m[4] * amp[u + 3] + m[5] * amp[u + 5];
  const along = px || py;
  const re = along ? px * rightRe + py * upRe : rightRe ** 2 - rightIm ** 2 + upRe ** 2 - upIm ** 2;
  const im = along ? px * rightIm + py * upIm : 2 * (rightRe * rightIm + upRe * upIm);
  const phase = -Math.atan2(im, re) / (along ? 1 : 2);
  const c = Math.cos(phase) * grow * scale;
  const s = Math.sin(phase) * grow * scale;
  swingX = rightRe * c - rightIm * s;
  swingY = -(upRe * c - upIm * s);
}

function sleevePaths(side, eye, fromS) {
  const tube = makeTube(side);
  placeTube(tube, 0, 0, eye, fromS);
  const body = new Path2D();
  traceSilhouette(body, tube, 0);
  const lines = new Path2D();
  const end = side.n - 1;
  traceRing(lines, tube, end, tube.r[end]);
  traceRing(lines, tube, end, (tube.r[end] * side.inner[end]) / side.outer[end]);
  for (const port of side.ports) tracePort(lines, port, eye);
  return { body, lines };
}

function tracePort(path, { way, rim }, eye) {
  if (way * eye.m[8] < 0.05) return;
  for (let k = 0; k < rim.length; k += 3) {
    const [x, y] = project(eye, rim[k], rim[k + 1], rim[k + 2]);
    if (k === 0) path.moveTo(x, y);
    else path.lineTo(x, y);
  }
  path.closePath();
}

// ---- painting -------------------------------------------------------------------------------

/** Under the metal. */
export function paintEnvelope(ctx, scene, colour) {
  if (!scene.envelope) return;
  ctx.globalAlpha = 0.13;
  ctx.fillStyle = colour;
  ctx.fill(scene.envelope);
  ctx.globalAlpha = 1;
}

/** Over the metal: where the centreline lies at rest. */
export function paintRest(ctx, scene, key, palette) {
  ctx.setLineDash(REST_DASH[key] || REST_DASH.A);
  ctx.lineWidth = 1.1;
  ctx.globalAlpha = 0.75;
  ctx.strokeStyle = palette.colours.ink;
  ctx.stroke(scene.rest);
  ctx.setLineDash([]);
  ctx.globalAlpha = 1;
}

/** The whole way of each marker. */
export function paintPaths(ctx, scene, colour) {
  ctx.globalAlpha = 0.45;
  ctx.lineWidth = 1.2;
  ctx.strokeStyle = colour;
  ctx.stroke(scene.paths);
  ctx.globalAlpha = 1;
}

export function paintSleeve(ctx, scene, palette) {
  if (!scene.sleeve) return;
  ctx.strokeStyle = palette.colours.sleeve;
  ctx.fillStyle = palette.colours.sleeve;
  ctx.globalAlpha = 0.14;
  ctx.fill(scene.sleeve.body);
  ctx.globalAlpha = 0.85;
  ctx.lineWidth = 1.2;
  ctx.stroke(scene.sleeve.body);
  ctx.stroke(scene.sleeve.lines);
  ctx.globalAlpha = 1;
}

/** Hollow diamonds under the places where the needle stands still, with a word and the distance. */
export function paintStill(ctx, scene, palette, lane) {
  ctx.font = `500 12px ${palette.font}`;
  ctx.textAlign = "center";
  ctx.textBaseline = "top";
  for (const place of scene.still) {
    if (place.x < lane.x + 24 || place.x > lane.x + lane.w - 12) continue;
    stillMark(ctx, place, palette.colours, lane);
  }
}

const DIAMOND = 5.5;

function stillMark(ctx, { x, y, r, below, words, row }, colours, lane) {
  const diamondY = y + r + DIAMOND + 1;
  const textY = Math.min(Math.max(below, diamondY + DIAMOND) + 4 + 15 * row, lane.y + lane.h - 15);
  ctx.lineWidth = 1;
  ctx.strokeStyle = colours.ink;
  ctx.beginPath();
  ctx.moveTo(x, y);
  ctx.lineTo(x, textY - 1);
  ctx.stroke();
  ctx.beginPath();
  ctx.moveTo(x, diamondY - DIAMOND);
  ctx.lineTo(x + DIAMOND, diamondY);
  ctx.lineTo(x, diamondY + DIAMOND);
  ctx.lineTo(x - DIAMOND, diamondY);
  ctx.closePath();
  ctx.fillStyle = colours.paper;
  ctx.fill();
  ctx.lineWidth = 1.6;
  ctx.stroke();
  const half = ctx.measureText(words).width / 2;
  const at = Math.min(Math.max(x, lane.x + half + 4), lane.x + lane.w - half - 4);
  ctx.lineWidth = 3.5;
  ctx.lineJoin = "round";
  ctx.strokeStyle = colours.paper;
  ctx.strokeText(words, at, textY);
  ctx.fillStyle = colours.ink;
  ctx.fillText(words, at, textY);
}

/** A bar of a round number of millimetres. */
export function paintScaleBar(ctx, scale, x, y, shortest, palette) {
  const mm = [0.2, 0.5, 1, 2, 5].find((length) => length * scale >= shortest) || 5;
  const w = mm * scale;
  ctx.strokeStyle = palette.colours.ink;
  ctx.fillStyle = palette.colours.ink;
  ctx.lineWidth = 1.5;
  ctx.beginPath();
  ctx.moveTo(x - w, y - 4);
  ctx.lineTo(x - w, y);
  ctx.lineTo(x, y);
  ctx.lineTo(x, y - 4);
  ctx.stroke();
  ctx.font = `500 12px ${palette.font}`;
  ctx.textAlign = "right";
  ctx.textBaseline = "middle";
  ctx.fillText(`${mm} mm`, x - w - 8, y - 3);
}

/** In the close view the shaft fades out where it leaves the lane. */
export function fadeShaft(ctx, lane, eye) {
  const toRight = eye.m[0];
  if (Math.abs(toRight) < 0.3) return;
  const edge = toRight > 0 ? lane.x : lane.x + lane.w;
  const inner = edge + Math.sign(toRight) * FADE_PX;
  const fade = ctx.createLinearGradient(edge, 0, inner, 0);
  fade.addColorStop(0, "rgb(0 0 0 / 100%)");
  fade.addColorStop(1, "rgb(0 0 0 / 0%)");
  ctx.globalCompositeOperation = "destination-out";
  ctx.fillStyle = fade;
  ctx.fillRect(Math.min(edge, inner), lane.y, FADE_PX, lane.h);
  ctx.globalCompositeOperation = "source-over";
}
