// A tube shaded as metal.
//
// Across a tube the shade depends only on the angle from the line that faces the light. So a
// short stretch is one polygon with a straight gradient across it, and the stretches, laid from
// far to near, are the needle. Where the tube points at the eye each stretch begins with its
// own round end, so that bends seen from the front close up.

import { LIGHT, metalAcross, metalRound, mixColours } from "./palette.js";
import { STEEP, outRight, outToward, outUp, surfaceDirection } from "./tube.js";
import { isCone, stretchEnd, traceEllipse, traceRim, traceSilhouette, traceStretch } from "./tube_outline.js";

const TWIST_LINES = 4;

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

/** The outline alone: the needle as it would be if it were rigid. */
export function paintOutline(ctx, tube, palette) {
  ctx.beginPath();
  traceSilhouette(ctx, tube, 0);
  ctx.lineWidth = 1.3;
  ctx.strokeStyle = palette.colours.accent;
  ctx.setLineDash([2, 3]);
  ctx.stroke();
  ctx.setLineDash([]);
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

/** How far node `i` lies behind the nearer end, in mm. */
function depthBehind({ z, r, first, side }, i) {
  return (Math.max(z[first], z[side.n - 1]) - z[i]) * (side.outer[i] / r[i]);
}

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
