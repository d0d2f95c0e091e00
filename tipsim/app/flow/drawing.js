// One bench as a drawing: bottle, line, sleeve, chamber, needle, pump, with what flows now.

import { draw, make } from "../shared/make.js";
import { flowText, whole } from "./packet.js";

const SIZE = { width: 400, height: 322 };
const TOP = 40; // highest place of the bottle
const EYE = 214; // the needle's height
const HIGHEST_CM = 150;
const DASH = 16; // px from dash to dash
const SPEED = 1.6; // px a second per mL/min
const RISE = 0.25; // px of the dome per µL of the chamber
const USUAL_MMHG = 41; // the dome is drawn round at about this pressure

export class Drawing {
  constructor(side) {
    this.side = side;
    this.moved = { inward: 0, outward: 0 };
    this.svg = draw("svg", { viewBox: `0 0 ${SIZE.width} ${SIZE.height}`, role: "img", class: "bench" });
    this.title = make("figcaption", {});
    this.node = make("figure", { className: "drawing" }, this.title, this.svg);
    this.build();
  }

  text(x, y, className = "") {
    return this.add("text", { x, y, class: className });
  }

  add(tag, attributes) {
    const node = draw(tag, attributes);
    this.svg.append(node);
    return node;
  }

  build() {
    this.bottle = this.add("path", { class: "glass" });
    this.level = this.add("path", { class: "water" });
    this.ruler = this.add("path", { class: "ruler" });
    this.supply = this.add("path", { class: "tube" });
    this.drain = this.add("path", { class: "tube" });
    this.chamber = this.add("path", { class: "water chamber" });
    this.cornea = this.add("path", { class: "cornea" });
    this.lens = this.add("path", { class: "lens" });
    this.add("path", { class: "sleeve", d: `M118 ${EYE - 12}H268M118 ${EYE + 12}H268` });
    this.add("path", { class: "needle", d: `M112 ${EYE - 9}H128L142 ${EYE - 6}H302M112 ${EYE + 9}H128L142 ${EYE + 6}H294` });
    this.add("path", { class: "ports", d: `M256 ${EYE - 12}v-7M256 ${EYE + 12}v7` });
    this.hole = this.add("circle", { class: "hole", cx: 200, cy: EYE - 6, r: 3.4 });
    this.piece = this.add("path", { class: "piece", d: `M300 ${EYE - 10}q15 -7 21 4q5 12 -8 16q-14 4 -19 -4z` });
    this.inward = this.add("path", { class: "flow in" });
    this.outward = this.add("path", { class: "flow out" });
    this.drop = this.add("path", { class: "flow drops", d: `M250 ${EYE + 17}q-6 22 -2 44` });
    this.pump = this.add("circle", { class: "pump", cx: 66, cy: 284, r: 19 });
    this.rotor = this.add("path", { class: "rotor", d: "M0 -12L10.4 6L-10.4 6Z" });
    this.words = {
      height: this.text(104, 60),
      bottle: this.text(104, 77, "strong"),
      supply: this.text(104, 0, "soft"),
      chamber: this.text(322, 164, "big mid"),
      unit: this.text(322, 180, "soft mid"),
      mouth: this.text(388, 240, "end"),
      mouthFlow: this.text(388, 256, "strong end"),
      leak: this.text(262, 288, "soft"),
      hole: this.text(200, EYE - 24, "soft mid"),
      vacuum: this.text(96, 282, "strong"),
      pump: this.text(96, 298, "soft"),
    };
  }

  /** A new run: what does not change over time. */
  take(side) {
    this.run = side;
    this.title.replaceChildren(
      make("span", { className: `letter ${side.side}` }, side.side.toUpperCase()),
      ` ${side.needle}`,
    );
    const y = EYE - 60 - (side.bottle_cm / HIGHEST_CM) * (EYE - 60 - TOP - 44);
    this.bottle.setAttribute("d", `M48 ${y - 34}h36v34q0 12 -12 16v6h-12v-6q-12 -4 -12 -16z`);
    this.level.setAttribute("d", `M49 ${y - 22}h34v22q0 11 -11 15h-12q-11 -4 -11 -15z`);
    this.ruler.setAttribute("d", `M26 ${y - 22}h10M31 ${y - 22}V${EYE}M26 ${EYE}h10`);
    const way = `M66 ${y + 22}V${EYE - 22}q0 12 12 12H118`;
    this.supply.setAttribute("d", way);
    this.inward.setAttribute("d", `${way}H252`);
    const back = `M294 ${EYE}H104q-38 0 -38 38V265`;
    this.drain.setAttribute("d", `M112 ${EYE}h-8q-38 0 -38 38V265`);
    this.outward.setAttribute("d", back);
    for (const part of [this.bottle, this.level, this.ruler, this.supply, this.inward, this.cornea, this.lens, this.drop]) {
      part.style.display = side.bath ? "none" : "";
    }
    this.hole.style.display = side.hole ? "" : "none";
    const { words } = this;
    words.height.textContent = side.bath ? "" : `bottle ${whole(side.bottle_cm)} cm above the eye`;
    words.bottle.textContent = side.bath ? "open dish, no bottle" : `gives ${whole(side.bottle_mmhg)} mmHg`;
    words.supply.setAttribute("y", EYE - 34);
    this.rotor.setAttribute("transform", "translate(66 284)");
  }

  /** The bench at a moment. */
  show(now) {
    const { run, words } = this;
    const blocked = now.open < 0.001;
    this.dome(now);
    this.piece.style.opacity = String(1 - now.open);
    words.chamber.textContent = run.bath ? "" : now.over ? "flat" : whole(now.chamber);
    words.unit.textContent = run.bath ? "" : now.over ? "the model ends" : "mmHg in the chamber";
    words.supply.textContent = run.bath ? "" : `${flowText(now.irrigation)} mL/min`;
    words.mouth.textContent = blocked ? "mouth blocked" : now.open < 0.995 ? `${whole(100 - 100 * now.open)} % covered` : "mouth free";
    words.mouthFlow.textContent = `${flowText(now.mouth)} mL/min`;
    words.leak.textContent = run.bath ? "" : `leaks ${flowText(now.leak)} mL/min`;
    words.hole.textContent = run.hole ? `hole ${flowText(now.bypass)} mL/min` : "";
    const atLimit = now.vacuum > 0.98 * run.limit_mmhg && run.limit_mmhg > 0;
    words.vacuum.textContent = `vacuum ${whole(now.vacuum)} mmHg${atLimit ? ", at its limit" : ""}`;
    words.pump.textContent = `pump takes ${flowText(now.pumped)} mL/min`;
    this.node.classList.toggle("low", now.over || (!run.bath && now.chamber < 10));
  }

  /** The chamber's dome sinks by the volume it loses; the lens comes forward. */
  dome(now) {
    const { run } = this;
    if (run.bath) {
      this.chamber.setAttribute("d", "M226 150H392V276H226Z");
      return;
    }
    const micro = (now.chamber - USUAL_MMHG) * run.give_ul_mmhg;
    const lost = now.over ? 46 : Math.max(-14, Math.min(46, -RISE * micro));
    const top = 120 + lost * 0.75;
    const floor = 262 - lost * 0.3;
    this.cornea.setAttribute("d", `M236 258C250 ${top} 380 ${top} 394 258`);
    this.chamber.setAttribute("d", `M236 258C250 ${top} 380 ${top} 394 258Q315 ${floor - 12} 236 258Z`);
    this.lens.setAttribute("d", `M252 264Q315 ${floor - 22} 378 264`);
  }

  /** Let the dashes run for some seconds of the run. */
  advance(seconds, now) {
    this.moved.inward += seconds * SPEED * now.irrigation;
    this.moved.outward += seconds * SPEED * (now.mouth + now.bypass);
    this.inward.style.strokeDashoffset = String(-(this.moved.inward % DASH));
    this.outward.style.strokeDashoffset = String(-(this.moved.outward % DASH));
    this.turned = ((this.turned ?? 0) + seconds * 8 * now.pumped) % 360;
    this.rotor.setAttribute("transform", `translate(66 284) rotate(${this.turned.toFixed(1)})`);
  }

  /** What a screen reader is told. */
  say(now) {
    const { run } = this;
    const chamber = run.bath ? "open dish" : now.over ? "chamber flat" : `chamber ${whole(now.chamber)} mmHg`;
    const from = run.bath ? "" : `, ${flowText(now.irrigation)} from the bottle, ${flowText(now.leak)} out of the wound`;
    const hole = run.hole ? `, ${flowText(now.bypass)} through the hole` : "";
    const words = `${chamber}, vacuum ${whole(now.vacuum)} mmHg, ${flowText(now.mouth)} mL/min into the mouth${hole}${from}`;
    this.svg.setAttribute("aria-label", `Bench ${run.side.toUpperCase()}: ${words}.`);
    return `${run.side.toUpperCase()}: ${words}`;
  }
}
