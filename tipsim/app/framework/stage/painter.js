// Paints the needles in their lanes: a lower canvas with what stands still within a view, an
// upper one that is painted anew in each frame.

import { orientation } from "./camera.js";
import { readPalette } from "./palette.js";
import { makeTube, placeTube } from "./tube.js";
import { paintOutline, paintTube, paintTwist } from "./tube_paint.js";
import { makeMarks, paintArrows, paintDots, paintTrails, placeMarks, sizeMarks } from "./markers.js";
import {
  buildScene, fadeShaft, paintEnvelope, paintPaths, paintRest, paintScaleBar, paintSleeve, paintStill,
} from "./scene.js";

export const NARROW_PX = 520;

export class Painter {
  /** @param {HTMLCanvasElement} under what stands still; @param {HTMLCanvasElement} over what moves */
  constructor(under, over) {
    this.canvases = [under, over].map((canvas) => canvas.getContext("2d"));
    this.width = 0;
    this.height = 0;
    this.receive([]);
  }

  receive(sides) {
    this.sides = sides;
    this.eyes = sides.map(() => ({ m: new Float64Array(9), scale: 1, ox: 0, oy: 0 }));
    this.tubes = sides.map(makeTube);
    this.ghosts = sides.map((side) => makeTube({ ...side, amp: side.rigid }));
    this.marks = sides.map(makeMarks);
    // One clock in true time: B runs ahead or behind by the ratio of the frequencies.
    this.ratios = sides.map((side) => side.frequency_hz / sides[0].frequency_hz);
  }

  resize(width, height) {
    this.ratio = Math.min(window.devicePixelRatio || 1, 2.5);
    for (const { canvas } of this.canvases) {
      canvas.width = Math.round(width * this.ratio);
      canvas.height = Math.round(height * this.ratio);
    }
    this.width = width;
    this.height = height;
  }

  /** After a change of theme. */
  forgetColours() {
    this.palette = null;
  }

  clear() {
    for (const ctx of this.canvases) this.begin(ctx);
  }

  begin(ctx) {
    ctx.setTransform(this.ratio, 0, 0, this.ratio, 0, 0);
    ctx.clearRect(0, 0, this.width, this.height);
  }

  /**
   * For a new view: what stands still.
   * @param {object} view what is shown
   * @param {{yaw: number, pitch: number}} turning where the eye stands just now, degrees
   * @param {object} layout lanes and scale
   * @param {number[]} from for each needle, mm behind the hub from which it is painted
   */
  paintView(view, turning, layout, from) {
    this.view = view;
    this.layout = layout;
    this.from = from;
    this.palette ||= readPalette(this.canvases[0].canvas);
    this.eyes.forEach((eye, i) => {
      orientation(turning.yaw, turning.pitch, eye.m);
      Object.assign(eye, { scale: layout.scale, ox: layout.lanes[i].ox, oy: layout.lanes[i].oy });
    });
    this.scenes = this.sides.map((side, i) =>
      buildScene(side, view.exaggeration, this.eyes[i], from[i], view.envelope, this.width < NARROW_PX),
    );
    this.marks.forEach((marks, i) => sizeMarks(marks, this.eyes[i]));
    const [ctx] = this.canvases;
    this.begin(ctx);
    this.eachLane(ctx, (i) => {
      paintEnvelope(ctx, this.scenes[i], this.colourOf(i));
      if (view.zoom === "end") fadeShaft(ctx, layout.lanes[i], this.eyes[i]);
    });
    const shortest = this.width < NARROW_PX ? 22 : 44;
    paintScaleBar(ctx, layout.scale, this.width - 18, this.height - 10, shortest, this.palette);
  }

  /** For each frame: the needles at a phase of A, in radian. */
  paintMotion(phase) {
    const [, ctx] = this.canvases;
    const { exaggeration } = this.view;
    this.begin(ctx);
    this.eachLane(ctx, (i) => {
      placeTube(this.tubes[i], phase * this.ratios[i], exaggeration, this.eyes[i], this.from[i]);
      placeMarks(this.marks[i], phase * this.ratios[i], exaggeration, this.eyes[i]);
      if (this.view.rigid_shown) {
        placeTube(this.ghosts[i], phase * this.ratios[i], exaggeration, this.eyes[i], this.from[i]);
      }
      this.paintNeedle(ctx, i);
    });
  }

  paintNeedle(ctx, i) {
    const { view, palette } = this;
    const [scene, marks, eye, colour] = [this.scenes[i], this.marks[i], this.eyes[i], this.colourOf(i)];
    paintTube(ctx, this.tubes[i], palette);
    if (view.twist_lines) paintTwist(ctx, this.tubes[i], palette);
    if (view.sleeve_shown) paintSleeve(ctx, scene, palette);
    paintRest(ctx, scene, this.sides[i].key, palette);
    if (view.rigid_shown && this.sides[i].rigid_said) paintOutline(ctx, this.ghosts[i], palette);
    if (view.zoom === "end") fadeShaft(ctx, this.layout.lanes[i], eye);
    if (view.nodes_shown) paintStill(ctx, scene, palette, this.layout.lanes[i]);
    if (view.trails) {
      paintPaths(ctx, scene, colour);
      paintTrails(ctx, marks, view.exaggeration, eye, colour);
    }
    if (view.arrows) paintArrows(ctx, marks, view.exaggeration, this.ratios[i], eye, palette.colours.ink);
    paintDots(ctx, marks, palette);
  }

  eachLane(ctx, paintLane) {
    this.layout.lanes.forEach((lane, i) => {
      ctx.save();
      ctx.beginPath();
      ctx.rect(lane.x, lane.y, lane.w, lane.h);
      ctx.clip();
      paintLane(i);
      ctx.restore();
    });
  }

  colourOf(i) {
    return this.palette.colours[this.sides[i].key.toLowerCase()];
  }
}
