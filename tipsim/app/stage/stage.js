// The stage: state, clock, painting, and the door to the server.
//
// The server sends a packet when something changed. From then on the browser moves the needles
// on its own clock: phase = speed × time, place = Re(amplitude · e^{i phase}). Frames are asked
// for only while something moves and is seen.

import { decodePacket } from "./packet.js";
import {
  CAMERAS, DEGREE, END_ZOOM_MM, arrange, blendLayouts, coverage, joinBoxes, nearestTurn, orientation, wrapDegrees,
} from "./camera.js";
import { readPalette, watchTheme } from "./palette.js";
import { makeTube, paintTube, paintTwist, placeTube } from "./tube.js";
import { makeMarks, paintArrows, paintDots, paintTrails, placeMarks, sizeMarks } from "./markers.js";
import {
  buildScene, fadeShaft, paintEnvelope, paintPaths, paintRest, paintScaleBar, paintSleeve, paintStill,
} from "./scene.js";
import { pictureWords, scaleWords, titleWords } from "./words.js";
import { STEP_DEGREES, buildControls, make, makeLegend } from "./controls.js";
import { listenToDrag, listenToKeys } from "./hand.js";
import { makeHook } from "./hook.js";

const LONGEST_STEP_S = 0.1; // after a hidden tab the motion goes on, it does not jump
const CALM_MS = 420; // a change of view
const TELL_SERVER_MS = 350;
const SAY_MS = 450;
const SLIDER_EVERY = 4; // frames
// A choice that moves the picture calmly to a new place; others only change what is drawn.
const MOVES_PICTURE = ["camera", "zoom", "nodes_shown"];

/** What the server may leave out. */
const FIRST_VIEW = {
  camera: "free", yaw: CAMERAS.free.yaw, pitch: CAMERAS.free.pitch, zoom: "whole",
  play: true, phase_deg: 0, speed: 0.5, exaggeration: 12,
  trails: true, envelope: true, nodes_shown: true, sleeve_shown: false, twist_lines: true, arrows: false,
};

/** Panel calls this once for each place where the stage is shown. */
export function render({ model }) {
  const stage = new Stage(model);
  model.on("packet", () => stage.receive(model.packet));
  model.on("view", () => stage.takeView(model.view));
  model.on("remove", () => stage.remove());
  return stage.root;
}

class Stage {
  constructor(model) {
    this.model = model;
    this.view = { ...FIRST_VIEW, ...model.view };
    this.phase = this.view.phase_deg * DEGREE;
    this.turning = { yaw: this.view.yaw, pitch: this.view.pitch };
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    this.playing = this.view.play && !this.calm.matches;
    this.sides = [];
    this.eyes = [0, 1].map(() => ({ m: new Float64Array(9), scale: 1, ox: 0, oy: 0 }));
    this.frames = 0;
    this.seen = true;
    this.build();
    this.listen();
    this.controls.show(this.view);
    this.controls.showPlaying(this.playing);
    this.receive(model.packet);
  }

  // ---- building -----------------------------------------------------------------------------

  build() {
    this.controls = buildControls({
      set: (name, value) => this.set({ [name]: value }),
      camera: (name) => this.chooseCamera(name),
      turn: (yaw, pitch) => this.turn(yaw ?? this.view.yaw, pitch ?? this.view.pitch, true),
      togglePlay: () => this.play(!this.playing, true),
      step: (way) => this.step(way),
      setPhase: (degrees) => this.userPhase(this.turnsOffset() + degrees),
    });
    this.under = make("canvas", { "aria-hidden": "true" });
    this.over = make("canvas", { role: "img", tabindex: "0", class: "moving" });
    this.titles = [0, 1].map((i) => make("div", { class: `title ${i ? "b" : "a"}` }));
    this.readout = make("p", { class: "readout" });
    this.notice = make("p", { class: "notice", hidden: true });
    this.status = make("div", { class: "sr", role: "status", "aria-live": "polite" });
    this.legend = makeLegend();
    this.picture = make(
      "div", { class: "picture" }, this.under, this.over, ...this.titles, this.readout, this.notice,
    );
    this.root = make(
      "section", { class: "ts-stage", "aria-label": "Two needles in slow motion" },
      this.controls.top, this.picture, this.legend, this.controls.bottom, this.status,
    );
    this.root.tipsim = makeHook(this);
    this.canvases = [this.under, this.over].map((canvas) => canvas.getContext("2d"));
  }

  listen() {
    const schedule = () => this.schedule();
    this.sizes = new ResizeObserver(() => this.resize());
    this.sizes.observe(this.picture);
    this.sight = new IntersectionObserver(([entry]) => {
      this.seen = entry.isIntersecting;
      this.schedule();
    });
    this.sight.observe(this.picture);
    document.addEventListener("visibilitychange", schedule);
    const stopTheme = watchTheme(() => this.restyle());
    const calmed = () => this.calm.matches && this.play(false);
    this.calm.addEventListener("change", calmed);
    listenToKeys(this.root, this.over, this);
    listenToDrag(this.over, this);
    this.stopListening = () => {
      this.sizes.disconnect();
      this.sight.disconnect();
      document.removeEventListener("visibilitychange", schedule);
      stopTheme();
      this.calm.removeEventListener("change", calmed);
    };
  }

  remove() {
    this.stopListening();
    cancelAnimationFrame(this.frame);
    clearTimeout(this.telling);
    clearTimeout(this.saying);
  }

  // ---- what comes from the server -----------------------------------------------------------

  receive(packet) {
    this.sides = packet && packet.byteLength ? decodePacket(packet) : [];
    this.tubes = this.sides.map(makeTube);
    this.marks = this.sides.map(makeMarks);
    const [a, b] = this.sides;
    this.ratios = a ? [1, b.frequency_hz / a.frequency_hz] : [1, 1];
    this.sides.forEach((side, i) => this.showTitle(side, i));
    this.showNotice();
    this.describe();
    this.refit();
  }

  takeView(view) {
    if (JSON.stringify(view) === this.told) return;
    const before = this.view;
    this.view = { ...FIRST_VIEW, ...before, ...view };
    if (view.phase_deg !== undefined) this.phase = view.phase_deg * DEGREE;
    if (view.play !== undefined) this.play(view.play && !this.calm.matches);
    this.controls.show(this.view);
    this.describe();
    this.restage();
  }

  /** Once the person has come to rest, and never while it only plays. */
  tellServer() {
    clearTimeout(this.telling);
    this.telling = setTimeout(() => {
      const view = { ...this.view, play: this.playing, phase_deg: this.phaseDegrees() };
      this.told = JSON.stringify(view);
      this.model.view = view;
    }, TELL_SERVER_MS);
  }

  // ---- what the person does -----------------------------------------------------------------

  set(change) {
    Object.assign(this.view, change);
    this.describe();
    this.controls.show(this.view);
    if (MOVES_PICTURE.some((name) => name in change)) this.restage();
    else this.refit();
    this.tellServer();
  }

  chooseCamera(name) {
    const { yaw, pitch } = CAMERAS[name];
    this.set({ camera: name, yaw, pitch });
  }

  /** Turn freely; the picture keeps its scale until the hand rests. */
  turn(yaw, pitch, settle) {
    Object.assign(this.view, { camera: "free", yaw: wrapDegrees(yaw), pitch: wrapDegrees(pitch) });
    Object.assign(this.turning, { yaw: this.view.yaw, pitch: this.view.pitch });
    this.change = null;
    this.controls.show(this.view);
    clearTimeout(this.settling);
    if (settle) this.settling = setTimeout(() => this.restage(), 250);
    this.stale = true;
    this.schedule();
    this.tellServer();
  }

  play(on, byPerson) {
    if (this.playing !== on) {
      this.playing = on;
      this.last = undefined;
      this.controls.showPlaying(on);
      this.schedule();
    }
    this.controls.showPhase(this.phaseDegrees(), on);
    if (!byPerson) return;
    this.showNotice();
    this.say(on ? "Playing" : `Paused at ${Math.round(this.phaseDegrees())} degrees`);
    this.tellServer();
  }

  step(way) {
    const degrees = this.phase / DEGREE;
    const next = way > 0 ? Math.floor(degrees / STEP_DEGREES + 1e-6) + 1 : Math.ceil(degrees / STEP_DEGREES - 1e-6) - 1;
    this.userPhase(next * STEP_DEGREES);
  }

  userPhase(degrees) {
    this.play(false);
    this.phase = degrees * DEGREE;
    this.controls.showPhase(this.phaseDegrees(), false);
    this.showNotice();
    this.say(`Phase ${Math.round(this.phaseDegrees())} degrees`);
    this.schedule();
    this.tellServer();
  }

  // ---- size, place, theme -------------------------------------------------------------------

  resize() {
    const { clientWidth, clientHeight } = this.picture;
    const ratio = Math.min(window.devicePixelRatio || 1, 2.5);
    for (const canvas of [this.under, this.over]) {
      canvas.width = Math.round(clientWidth * ratio);
      canvas.height = Math.round(clientHeight * ratio);
    }
    Object.assign(this, { width: clientWidth, height: clientHeight, ratio });
    this.refit();
  }

  restyle() {
    this.palette = null;
    this.stale = true;
    this.schedule();
  }

  /** At once: after a new size or a new packet. */
  refit() {
    this.layout = null;
    this.change = null;
    Object.assign(this.turning, { yaw: this.view.yaw, pitch: this.view.pitch });
    this.stale = true;
    this.schedule();
  }

  /** Calmly: after a choice of the person. */
  restage() {
    if (!this.layout || this.calm.matches) return this.refit();
    const from = { ...this.turning, layout: this.layout };
    const to = { yaw: nearestTurn(this.view.yaw, from.yaw), pitch: nearestTurn(this.view.pitch, from.pitch) };
    to.layout = this.bestLayout(to.yaw, to.pitch);
    this.change = { from, to, start: performance.now() };
    this.placeTitles(to.layout);
    this.stale = true;
    this.schedule();
  }

  bestLayout(yaw, pitch) {
    const m = orientation(yaw, pitch, new Float64Array(9));
    const boxes = this.sides.map((side) => coverage(side, m, this.view.exaggeration, this.shownFrom(side)));
    const narrow = this.width < 520;
    return arrange(this.width, this.height, joinBoxes(...boxes), {
      side: 18,
      titleStacked: this.titleHeight(this.width),
      titleBeside: this.titleHeight(this.width / 2),
      below: this.view.nodes_shown ? (narrow ? 38 : 26) : 12,
      foot: narrow ? 30 : 26,
    });
  }

  titleHeight(width) {
    for (const title of this.titles) title.style.maxWidth = `${Math.round(width) - 12}px`;
    return Math.max(...this.titles.map((title) => title.offsetHeight)) + 2;
  }

  shownFrom(side) {
    return this.view.zoom === "end" ? side.length - END_ZOOM_MM : 0;
  }

  /** In the close view the shaft runs on to the lane's edge. */
  paintedFrom(side) {
    if (this.view.zoom !== "end") return 0;
    return Math.max(0, side.length - END_ZOOM_MM - 40 / Math.sqrt(this.layout.scale));
  }

  advanceChange(now) {
    if (!this.change) return;
    const { from, to, start } = this.change;
    const w = Math.min(1, (now - start) / CALM_MS);
    const eased = w * w * (3 - 2 * w);
    this.turning.yaw = from.yaw + (to.yaw - from.yaw) * eased;
    this.turning.pitch = from.pitch + (to.pitch - from.pitch) * eased;
    this.layout = blendLayouts(from.layout, to.layout, eased);
    this.stale = true;
    if (w < 1) return;
    this.change = null;
    Object.assign(this.turning, { yaw: this.view.yaw, pitch: this.view.pitch });
    this.layout = to.layout;
  }

  // ---- clock --------------------------------------------------------------------------------

  schedule() {
    if (this.frame || document.hidden || !this.seen) return;
    this.frame = requestAnimationFrame((now) => this.tick(now));
  }

  tick(now) {
    this.frame = 0;
    if (this.playing) {
      const seconds = this.last === undefined ? 0 : Math.min((now - this.last) / 1000, LONGEST_STEP_S);
      this.phase += 2 * Math.PI * this.view.speed * Math.max(seconds, 0);
      this.last = now;
      if (this.frames % SLIDER_EVERY === 0) this.controls.showPhase(this.phaseDegrees(), true);
    } else {
      this.last = undefined;
    }
    this.frames += 1;
    this.advanceChange(now);
    this.paint();
    if (this.playing || this.change) this.schedule();
    else this.last = undefined;
  }

  phaseDegrees() {
    const degrees = (this.phase / DEGREE) % 360;
    return Math.round((degrees < 0 ? degrees + 360 : degrees) * 100) / 100;
  }

  /** Whole turns so far, in degrees: they matter when the two needles run at two frequencies. */
  turnsOffset() {
    return Math.floor(this.phase / DEGREE / 360) * 360;
  }

  // ---- painting -----------------------------------------------------------------------------

  /** With any change of view finished. */
  paintNow() {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    this.refit();
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    this.paint();
  }

  paint() {
    if (!this.width || !this.height) return;
    if (!this.palette) this.palette = readPalette(this.root);
    if (!this.sides.length) {
      this.canvases.forEach((ctx) => ctx.clearRect(0, 0, ctx.canvas.width, ctx.canvas.height));
      return;
    }
    if (!this.layout) {
      this.layout = this.bestLayout(this.turning.yaw, this.turning.pitch);
      this.placeTitles(this.layout);
    }
    if (this.stale) this.paintStill();
    this.paintMoving();
  }

  paintStill() {
    this.stale = false;
    const { layout, view, palette } = this;
    const [ctx] = this.canvases;
    this.sides.forEach((side, i) => {
      const eye = this.eyes[i];
      orientation(this.turning.yaw, this.turning.pitch, eye.m);
      Object.assign(eye, { scale: layout.scale, ox: layout.lanes[i].ox, oy: layout.lanes[i].oy });
    });
    this.scenes = this.sides.map((side, i) =>
      buildScene(side, view.exaggeration, this.eyes[i], this.paintedFrom(side), view.envelope),
    );
    this.marks.forEach((marks, i) => sizeMarks(marks, this.eyes[i]));
    begin(ctx, this);
    this.eachLane(ctx, (i) => {
      paintEnvelope(ctx, this.scenes[i], this.colourOf(i));
      if (view.zoom === "end") fadeShaft(ctx, layout.lanes[i], this.eyes[i]);
    });
    paintScaleBar(ctx, layout.scale, this.width - 18, this.height - 10, this.width < 520 ? 22 : 44, palette);
    this.readout.textContent = scaleWords(view.exaggeration, view.speed, this.sides[0].frequency_hz);
  }

  paintMoving() {
    const [, ctx] = this.canvases;
    const { view } = this;
    begin(ctx, this);
    this.eachLane(ctx, (i) => {
      const eye = this.eyes[i];
      const phase = this.phase * this.ratios[i];
      placeTube(this.tubes[i], phase, view.exaggeration, eye, this.paintedFrom(this.sides[i]));
      placeMarks(this.marks[i], phase, view.exaggeration, eye);
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
    return this.palette.colours[i ? "b" : "a"];
  }

  // ---- words --------------------------------------------------------------------------------

  showTitle(side, i) {
    this.titles[i].replaceChildren(
      make("span", { class: "letter" }, side.key),
      make("span", { class: "what" }, make("strong", {}, side.title), " ", make("span", {}, titleWords(side, this.sides))),
    );
  }

  placeTitles({ lanes }) {
    lanes.forEach((lane, i) => {
      this.titles[i].style.transform = `translate(${Math.round(lane.x)}px, ${Math.round(lane.y)}px)`;
      this.titles[i].style.maxWidth = `${Math.round(lane.w) - 12}px`;
    });
  }

  showNotice() {
    let words = "";
    if (!this.sides.length) words = "The motion has not arrived yet.";
    else if (this.calm.matches && !this.playing && !this.frames) {
      words = "Your system asks for less motion, so the needles stand still. Press Play to move them.";
    }
    this.notice.textContent = words;
    this.notice.hidden = !words;
  }

  describe() {
    this.over.setAttribute("aria-label", this.sides.length ? pictureWords(this.sides, this.view) : "No motion yet.");
  }

  /** To screen readers, once the person rests. */
  say(words) {
    clearTimeout(this.saying);
    this.saying = setTimeout(() => (this.status.textContent = words), SAY_MS);
  }
}

function begin(ctx, { ratio, width, height }) {
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
  ctx.clearRect(0, 0, width, height);
}
