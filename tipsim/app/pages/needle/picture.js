// The needle to scale, with handles for mouse, finger and keyboard.

import { draw, make } from "../../framework/make.js";
import { Drawing, Eye, extent } from "./drawing.js";
import { lengthHandle, nearestValue, stepped, turnHandle } from "./handles.js";
import { walk } from "./line.js";

const KEYS = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 };
// Key presses that follow each other faster than this are one step back.
const PAUSE = 900;
const HAND = 20; // half of what a finger touches of a handle
const PAD = [26, 30];
const LARGEST_SCALE = 150;
const AROUND = 1.6;

export class Picture {
  /** @param {any} actions with set(changes, gesture), choose(piece) */
  constructor(actions) {
    this.actions = actions;
    this.gesture = 0;
    this.close = false;
    this.svg = draw("svg", { role: "group", "aria-label": "The needle, to scale" });
    this.drawing = new Drawing(this.svg);
    this.layer = draw("g", { class: "handles" });
    this.svg.append(this.layer);
    this.handles = [];
    this.note = make("p", { className: "picture-note" });
    this.node = make("figure", { className: "picture" }, this.svg, this.note);
    this.svg.addEventListener("pointerdown", (event) => this.pick(event));
    new ResizeObserver(() => this.resize()).observe(this.node);
  }

  /** Show a draft; `keep`: newer changes are on their way, so leave the handles. */
  show(reply, chosen, keep) {
    this.reply = reply;
    if (!this.drag && !keep) this.local = null;
    this.choose(chosen);
  }

  choose(chosen) {
    this.chosen = chosen;
    this.draw();
  }

  setClose(close) {
    this.close = close;
    this.eye = null;
    this.draw();
  }

  /** What the handles stand on: the draft, possible or not; null when it cannot be drawn. */
  get draft() {
    return this.local ?? this.reply.drawn ?? null;
  }

  resize() {
    const { width, height } = this.svg.getBoundingClientRect();
    if (!width || !height) return;
    this.size = [width, height];
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.eye = null;
    this.draw();
  }

  draw() {
    if (!this.reply || !this.size) return;
    const possible = !Object.keys(this.reply.errors).length;
    const solid = possible ? this.draft : this.reply.shown;
    const ghost = possible ? null : this.draft;
    const box = this.boxOf(ghost ? [solid, ghost] : [solid]);
    if (this.drag) this.stepBack(box);
    else this.fit(box);
    if (!this.drag) this.fitHandles(box);
    this.drawing.draw(this.eye, this.size, { solid, ghost, chosen: this.chosen });
    this.node.classList.toggle("impossible", !possible);
    this.note.textContent = possible
      ? ""
      : ghost
        ? "Solid: the last needle that can be made. Dashed: as typed."
        : "The last needle that can be made.";
    this.placeHandles();
  }

  /** The largest scale at which a box (mm) has room. */
  scaleFor(box) {
    const [width, height] = this.size;
    return Math.min(
      (width - 2 * PAD[0]) / (box[2] - box[0]),
      (height - 2 * PAD[1]) / (box[3] - box[1]),
      LARGEST_SCALE,
    );
  }

  // Keep the scale while it does: a picture that jumps is hard to read.
  fit(box) {
    const scale = this.scaleFor(box);
    if (this.eye && this.fits(box) && Math.abs(Math.log(this.eye.scale / scale)) < 0.25) return;
    this.eye = this.centred(box, scale);
  }

  // Levers stand out beyond the needle: it is drawn smaller until every handle is in the picture.
  fitHandles(box) {
    const needle = this.draft;
    if (!needle || this.close) return;
    const [width, height] = this.size;
    const isIn = ([x, y]) => x > HAND && x < width - HAND && y > HAND && y < height - HAND;
    const place = (i) => turnHandle.place(needle, i, this.eye.scale, turnHandle.side(needle, i));
    const areIn = () => needle.pieces.every((_, i) => isIn(this.eye.px(place(i))));
    for (let n = 0; n < 40 && !areIn(); n++) this.eye = this.centred(box, this.eye.scale * 0.96);
  }

  centred(box, scale) {
    const [width, height] = this.size;
    const [x, y] = [(box[0] + box[2]) / 2, (box[1] + box[3]) / 2];
    return new Eye(scale, width / 2 - scale * x, height / 2 + scale * y);
  }

  // While a handle is held: smaller, so that all stays in sight, if it can be with the handle where
  // it is; else all anew, and the handle goes on from where it then stands.
  stepBack(box) {
    if (this.close || this.fits(box)) return;
    const { handle, side, at } = this.drag;
    const place = (eye) => eye.px(handle.kind.place(this.local, handle.i, eye.scale, side));
    const [hx, hy] = place(this.eye);
    const least = 0.8 * this.scaleFor(box);
    while (this.eye.scale > least && !this.fits(box)) {
      const { scale, x0, y0 } = this.eye;
      const [x, y] = place(new Eye(scale * 0.97, x0, y0));
      this.eye = new Eye(scale * 0.97, x0 + hx - x, y0 + hy - y);
    }
    if (this.fits(box)) return;
    this.eye = this.centred(box, 0.9 * this.scaleFor(box));
    const [x, y] = place(this.eye);
    this.drag.grab = [at[0] - x, at[1] - y];
  }

  boxOf(needles) {
    const boxes = needles.map((needle) => this.box(needle));
    return [Math.min, Math.min, Math.max, Math.max].map((pick, k) => pick(...boxes.map((b) => b[k])));
  }

  box(needle) {
    if (!this.close || !needle.pieces[this.chosen]) return extent(needle);
    const starts = walk(needle.pieces);
    return extent(needle, starts[this.chosen].s - AROUND, starts[this.chosen + 1].s + AROUND);
  }

  fits(box) {
    const [left, bottom] = this.eye.px([box[0], box[1]]);
    const [right, top] = this.eye.px([box[2], box[3]]);
    return left > 8 && right < this.size[0] - 8 && top > 8 && bottom < this.size[1] - 8;
  }

  // ---- handles ----

  placeHandles() {
    const needle = this.draft;
    const count = needle ? needle.pieces.length : 0;
    while (this.handles.length > 2 * count) this.handles.pop().node.remove();
    while (this.handles.length < 2 * count) {
      const i = this.handles.length >> 1;
      this.addHandle(this.handles.length % 2 ? lengthHandle : turnHandle, i);
    }
    for (const handle of this.handles) this.placeHandle(handle, needle);
    this.raise();
  }

  addHandle(kind, i) {
    const node = draw("g", { class: `handle ${kind.kind}`, role: "slider", tabindex: "0" });
    const lever = draw("line", { class: "lever" });
    const mark =
      kind === lengthHandle
        ? draw("circle", { class: "mark", r: 6.5 })
        : draw("rect", { class: "mark", x: -6, y: -6, width: 12, height: 12, transform: "rotate(45)" });
    const at = draw(
      "g",
      {},
      draw("circle", { class: "touch", r: 16 }),
      draw("circle", { class: "focus", r: 12 }),
      mark,
    );
    node.append(lever, at);
    const handle = { kind, i, node, at, lever };
    at.addEventListener("pointerdown", (event) => this.start(event, handle));
    node.addEventListener("keydown", (event) => this.key(event, handle));
    node.addEventListener("focus", () => this.actions.choose(i));
    this.handles.push(handle);
    this.layer.append(node);
  }

  placeHandle(handle, needle) {
    const { kind, i, node, at, lever } = handle;
    const [x, y] = this.eye.px(kind.place(needle, i, this.eye.scale, this.sideOf(handle, needle)));
    at.setAttribute("transform", `translate(${x.toFixed(2)} ${y.toFixed(2)})`);
    if (kind === turnHandle) {
      const end = walk(needle.pieces)[i + 1];
      const [fx, fy] = this.eye.px([end.x, end.y]);
      for (const [name, value] of Object.entries({ x1: fx, y1: fy, x2: x, y2: y })) lever.setAttribute(name, value);
    }
    const [low, high] = kind.limits(needle, i);
    node.setAttribute("aria-label", kind.name(needle, i));
    node.setAttribute("aria-valuemin", low);
    node.setAttribute("aria-valuemax", high);
    node.setAttribute("aria-valuenow", kind.value(needle, i));
    node.setAttribute("aria-valuetext", kind.says(needle, i));
    const mine = i === this.chosen || (kind === lengthHandle && i === this.chosen - 1);
    node.classList.toggle("mine", mine);
    node.classList.toggle("idle", kind === turnHandle && !mine);
  }

  // Where handles lie on each other, those of the chosen piece are on top.
  raise() {
    if (this.raised === this.chosen || this.drag || this.layer.getRootNode().activeElement?.closest?.(".handle"))
      return;
    this.raised = this.chosen;
    for (const { node } of this.handles) if (node.classList.contains("mine")) this.layer.append(node);
  }

  sideOf(handle, needle) {
    if (handle.kind !== turnHandle) return 0;
    return this.drag?.handle === handle ? this.drag.side : turnHandle.side(needle, handle.i);
  }

  /** A press on the tube chooses the piece below it. */
  pick(event) {
    if (event.target.closest(".handle") || !this.draft) return;
    const [x, y] = this.eye.mm(this.pointer(event));
    let [best, least] = [null, 1.2];
    const starts = walk(this.draft.pieces);
    this.draft.pieces.forEach((piece, i) => {
      for (let part = 0; part <= 1; part += 0.05) {
        const here = this.at(starts[i], starts[i + 1], piece, part);
        const far = Math.hypot(here[0] - x, here[1] - y);
        if (far < least) [best, least] = [i, far];
      }
    });
    if (best !== null) this.actions.choose(best);
  }

  at(start, end, piece, part) {
    // Fine enough for picking: along the chord.
    return [start.x + (end.x - start.x) * part, start.y + (end.y - start.y) * part];
  }

  pointer(event) {
    const { left, top } = this.svg.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  }

  start(event, handle) {
    if (event.button !== 0 || !this.draft) return;
    event.preventDefault();
    this.actions.choose(handle.i);
    handle.node.focus({ preventScroll: true });
    this.gesture += 1;
    const needle = this.draft;
    const side = handle.kind === turnHandle ? turnHandle.side(needle, handle.i) : 0;
    const [hx, hy] = this.eye.px(handle.kind.place(needle, handle.i, this.eye.scale, side));
    const [x, y] = this.pointer(event);
    this.drag = { handle, side, grab: [x - hx, y - hy], at: [x, y] };
    this.local = needle;
    const at = handle.at;
    at.setPointerCapture(event.pointerId);
    const move = (e) => this.move(e);
    const stop = () => {
      for (const name of ["pointerup", "pointercancel", "lostpointercapture"]) at.removeEventListener(name, stop);
      at.removeEventListener("pointermove", move);
      this.drag = null;
      handle.node.classList.remove("held");
      this.draw();
    };
    handle.node.classList.add("held");
    at.addEventListener("pointermove", move);
    for (const name of ["pointerup", "pointercancel", "lostpointercapture"]) at.addEventListener(name, stop);
  }

  move(event) {
    const { handle, side, grab } = this.drag;
    const [x, y] = (this.drag.at = this.pointer(event));
    const target = this.eye.mm([x - grab[0], y - grab[1]]);
    const alone = event.shiftKey;
    const value = nearestValue(handle.kind, this.local, handle.i, target, this.eye.scale, side, alone);
    this.put(handle, value, alone);
  }

  key(event, handle) {
    const steps = KEYS[event.key];
    if (!steps || event.ctrlKey || event.metaKey || event.altKey || !this.draft) return;
    event.preventDefault();
    const now = performance.now();
    if (this.keyed?.handle !== handle || now - this.keyed.when > PAUSE) this.gesture += 1;
    this.keyed = { handle, when: now };
    this.put(handle, stepped(handle.kind, this.draft, handle.i, steps, event.shiftKey), event.shiftKey);
  }

  put(handle, value, alone) {
    const { kind, i } = handle;
    if (value === kind.value(this.draft, i)) return;
    this.local = kind.with(this.draft, i, value, alone);
    this.draw();
    this.actions.set(kind.changes(this.local, i, alone), `hand ${this.gesture}`);
  }
}
