// The stage: state, clock, painting, and the door to the server.
//
// The server sends a packet when something changed. From then on the browser moves the needles
// on its own clock: phase = speed × time, place = Re(amplitude · e^{i phase}). Frames are asked
// for only while something moves and is seen. Lengths in mm, displacements in µm.

import { make } from "../make.js";
import { tell } from "../messenger.js";
import { numberText } from "../numbers.js";
import { decode } from "../packet.js";
import { onTheme } from "../theme.js";
import {
  CAMERAS, DEGREE, END_ZOOM_MM, arrange, blendLayouts, coverage, favourStacked, joinBoxes, nearestTurn, orientation,
  wrapDegrees,
} from "./camera.js";
import { NARROW_PX, Painter } from "./painter.js";
import { STEP_DEGREES, buildControls, makeLegend } from "./controls.js";
import { listenToDrag, listenToKeys } from "./hand.js";
import { makeHook } from "./hook.js";
import { Held } from "./held.js";
import { Titles } from "./titles.js";

const LONGEST_STEP_S = 0.1; // after a hidden tab the motion goes on, it does not jump
const CALM_MS = 420; // a change of view
const TELL_SERVER_MS = 350;
const SAY_MS = 450;
const SLIDER_EVERY = 4; // frames
// A choice that moves the picture calmly to a new place; others only change what is drawn.
const MOVES_PICTURE = ["camera", "zoom", "nodes_shown"];

/** Panel calls this once for each place where the stage is shown. */
export function render({ model }) {
  const stage = new Stage(model);
  model.on("packet", () => stage.receive(model.packet));
  model.on("look", () => stage.takeView(model.look));
  model.on("remove", () => stage.remove());
  return stage.root;
}

class Stage {
  constructor(model) {
    this.model = model;
    this.view = { ...model.look };
    this.told = { ...model.look };
    this.phase = this.view.phase_deg * DEGREE;
    this.turning = { yaw: this.view.yaw, pitch: this.view.pitch };
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    this.playing = this.view.play && !this.calm.matches;
    this.sides = [];
    this.frames = 0;
    this.seen = true;
    this.build();
    this.listen();
    this.controls.show(this.view);
    this.legend.showRigid(this.view.rigid_shown);
    this.controls.showPlaying(this.playing);
    this.controls.showPhase(this.phaseDegrees(), this.playing);
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
    const under = make("canvas", { "aria-hidden": "true" });
    this.over = make("canvas", { role: "img", tabindex: "0", class: "moving" });
    this.titles = new Titles();
    this.held = new Held();
    this.readout = make("p", { class: "readout" });
    this.notice = make("p", { class: "notice", hidden: true });
    this.status = make("div", { class: "sr", role: "status", "aria-live": "polite" });
    this.legend = makeLegend();
    this.picture = make(
      "div", { class: "picture" },
      under, this.over, ...this.held.nodes, ...this.titles.nodes, this.readout, this.notice,
    );
    this.root = make(
      "section", { class: "ts-stage", "aria-label": "Needles in slow motion" },
      this.picture, this.legend.element, this.controls.bottom, this.status,
    );
    this.painter = new Painter(under, this.over);
    this.root.tipsim = makeHook(this);
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
    const stopTheme = onTheme(() => this.restyle());
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
    for (const timer of [this.telling, this.saying, this.settling]) clearTimeout(timer);
  }

  // ---- what comes from the server -----------------------------------------------------------

  receive(packet) {
    this.sides = packet?.byteLength ? decode(packet).sides : [];
    this.picture.style.setProperty("--ts-needles", String(this.sides.length));
    this.painter.receive(this.sides);
    this.titles.show(this.sides, this.view.rigid_shown);
    this.held.show(this.sides);
    this.legend.showNeither(this.sides.some(({ marks }) => marks.some(({ way }) => way === "neither")));
    this.showNotice();
    this.describe();
    this.refit();
  }

  takeView(view) {
    if (Object.keys(view).every((name) => view[name] === this.told[name])) return;
    this.told = { ...view };
    Object.assign(this.view, view);
    this.phase = view.phase_deg * DEGREE;
    this.play(view.play && !this.calm.matches);
    this.showRigid();
    this.controls.show(this.view);
    this.describe();
    this.restage();
  }

  /** Once the person has come to rest, and never while it only plays. */
  tellServer() {
    clearTimeout(this.telling);
    this.telling = setTimeout(() => {
      const phase_deg = this.playing ? 0 : this.phaseDegrees();
      const changes = Object.entries({ ...this.view, play: this.playing, phase_deg })
        .map(([name, value]) => [name, typeof value === "number" ? Math.round(value * 100) / 100 : value])
        .filter(([name, value]) => value !== this.told[name]);
      Object.assign(this.told, Object.fromEntries(changes));
      if (!changes.length) return;
      tell(this.model, { changes: changes.map(([name, value]) => ({ field: `look.${name}`, value })) });
    }, TELL_SERVER_MS);
  }

  // ---- what the person does -----------------------------------------------------------------

  set(change) {
    Object.assign(this.view, change);
    this.showRigid();
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
    this.painter.resize(this.picture.clientWidth, this.picture.clientHeight);
    this.refit();
  }

  restyle() {
    this.painter.forgetColours();
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
    this.titles.place(to.layout);
    this.held.place(to.layout);
    this.stale = true;
    this.schedule();
  }

  bestLayout(yaw, pitch) {
    const m = orientation(yaw, pitch, new Float64Array(9));
    const boxes = this.sides.map((side) => coverage(side, m, this.view.exaggeration, this.shownFrom(side)));
    const { width, height } = this.painter;
    const narrow = width < NARROW_PX;
    const pads = {
      side: 18,
      titleStacked: this.titles.height(width),
      titleBeside: this.titles.height(width / 2),
      below: this.view.nodes_shown ? (narrow ? 38 : 26) : 12,
      foot: narrow ? 30 : 26,
    };
    return arrange(width, height, joinBoxes(...boxes), pads, favourStacked(m), boxes.length);
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
    const { painter, view } = this;
    if (!painter.width || !painter.height) return;
    if (!this.sides.length) return painter.clear();
    if (!this.layout) {
      this.layout = this.bestLayout(this.turning.yaw, this.turning.pitch);
      this.titles.place(this.layout);
      this.held.place(this.layout);
    }
    if (this.stale) {
      this.stale = false;
      painter.paintView(view, this.turning, this.layout, this.sides.map((side) => this.paintedFrom(side)));
      const slower = numberText(Number((this.sides[0].frequency_hz / view.speed).toPrecision(2)), 2);
      this.readout.textContent = `motion ×${view.exaggeration} · time ÷ ${slower}`;
    }
    painter.paintMotion(this.phase);
  }

  showRigid() {
    this.titles.show(this.sides, this.view.rigid_shown);
    this.legend.showRigid(this.view.rigid_shown);
  }

  // ---- words --------------------------------------------------------------------------------

  showNotice() {
    let words = "";
    if (!this.sides.length) words = "The motion has not arrived yet.";
    else if (this.calm.matches && !this.playing && !this.frames) {
      words = "At rest, as your system asks. Press Play to move.";
    }
    this.notice.textContent = words;
    this.notice.hidden = !words;
  }

  describe() {
    const { label, hint } = CAMERAS[this.view.camera];
    const part = this.view.zoom === "end" ? `the last ${END_ZOOM_MM} millimetres` : "the whole needles";
    const count = ["No", "One", "Two", "Three", "Four"][this.sides.length];
    const seen = `${count} needles in slow motion, ${part}; ${label.toLowerCase()}${hint ? ` (${hint})` : ""}.`;
    const each = this.sides.map(({ key, title, words }) => `Needle ${key}, ${title}: ${words}`);
    this.over.setAttribute("aria-label", each.length ? [seen, ...each].join(" ") : "No motion yet.");
  }

  /** To screen readers, once the person rests. */
  say(words) {
    clearTimeout(this.saying);
    this.saying = setTimeout(() => (this.status.textContent = words), SAY_MS);
  }
}
