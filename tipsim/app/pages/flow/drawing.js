// One bench as a drawing: bottle, line, sleeve, chamber, needle, pump, with what flows now.

import { draw, make } from "../../framework/make.js";
import { flowText, whole } from "./run.js";

const SIZE = { width: 340, height: 344 };
const TOP = 40; // highest place of the bottle
const EYE = 214; // the needle's height
const HIGHEST_CM = 150;
const PUMP = { x: 48, y: 316 };
const DASH = 16; // px from dash to dash
const SPEED = 1.6; // px a second per mL/min
const DOME = { full: 120, swollen: -30, needle: 110, fallen: 275 }; // places of its two handles
const LENS = { full: 262, forward: 44 };
const NO_VACUUM = 0.5; // mmHg

/** How much of the opening is covered, in words. */
function opening({ open }) {
  if (open < 0.001) return "opening occluded";
  return open < 0.995 ? `${whole(100 - 100 * open)} % covered` : "opening free";
}

/** What stands below the chamber's pressure: also what is left of its volume, where some is gone. */
function inChamber({ filled }) {
  return filled < 0.85 ? `mmHg, ${whole(100 * filled)} % full` : "mmHg in the chamber";
}

export class Drawing {
  constructor(side) {
    this.side = side;
    this.moved = { inward: 0, outward: 0 };
    this.svg = draw("svg", { viewBox: `0 0 ${SIZE.width} ${SIZE.height}`, role: "img", class: "bench" });
    this.title = make("figcaption", {});
    this.node = make("figure", { className: "drawing sheet" }, this.title, this.svg);
    // Parts stand at their own places only once there is a run.
    this.svg.style.visibility = "hidden";
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
    this.add("path", { class: "sleeve", d: `M92 ${EYE - 12}H220M92 ${EYE + 12}H220` });
    const wall = (way, end) => `M86 ${EYE + 9 * way}H102L114 ${EYE + 6 * way}H${end}`;
    this.add("path", { class: "needle", d: wall(-1, 252) + wall(1, 244) });
    this.add("path", { class: "ports", d: `M208 ${EYE - 12}v-7M208 ${EYE + 12}v7` });
    this.kink = this.add("path", { class: "kink", d: "M38 140l20 12m0 -12l-20 12" });
    this.hole = this.add("circle", { class: "hole", cx: 160, cy: EYE - 6, r: 3.4 });
    const fragment = `M250 ${EYE - 10}q15 -7 21 4q5 12 -8 16q-14 4 -19 -4z`;
    this.fragment = this.add("path", { class: "fragment", d: fragment });
    this.inward = this.add("path", { class: "flow in" });
    this.outward = this.add("path", { class: "flow out" });
    this.drop = this.add("path", { class: "flow drops", d: `M198 ${EYE + 17}q-6 16 -2 30` });
    this.pump = this.add("circle", { class: "pump", cx: PUMP.x, cy: PUMP.y, r: 19 });
    this.rotor = this.add("path", { class: "rotor", d: "M0 -12L10.4 6L-10.4 6Z" });
    const tank = `M${PUMP.x - 21} ${PUMP.y - 19}h42v32q0 6 -6 6h-30q-6 0 -6 -6z`;
    this.tank = this.add("path", { class: "pump", d: tank });
    this.held = this.add("rect", { class: "held", x: PUMP.x - 20, width: 40 });
    this.words = {
      height: this.text(80, 60),
      bottle: this.text(80, 77, "strong"),
      supply: this.text(66, EYE - 46, "soft"),
      chamber: this.text(256, 122, "big mid"),
      unit: this.text(256, 139, "soft mid"),
      hole: this.text(152, EYE - 22, "soft mid"),
      mouth: this.text(228, 280, "strong mid"),
      leak: this.text(228, 297, "soft mid"),
      vacuum: this.text(78, 319, "strong"),
      pump: this.text(78, 336, "soft"),
    };
  }

  /** A new run: what does not change over time. */
  take(side) {
    this.run = side;
    this.svg.style.visibility = "";
    const letters = side.letters.map((one) => make("span", { className: `letter ${one}` }, one.toUpperCase()));
    this.title.replaceChildren(...letters, ` ${side.title}`);
    const tank = side.pump === "vacuum";
    for (const part of [this.pump, this.rotor]) part.style.display = tank ? "none" : "";
    for (const part of [this.tank, this.held]) part.style.display = tank ? "" : "none";
    const y = EYE - 60 - (side.bottle_cm / HIGHEST_CM) * (EYE - 60 - TOP - 44);
    this.bottle.setAttribute("d", `M30 ${y - 34}h36v34q0 12 -12 16v6h-12v-6q-12 -4 -12 -16z`);
    this.level.setAttribute("d", `M31 ${y - 22}h34v22q0 11 -11 15h-12q-11 -4 -11 -15z`);
    this.ruler.setAttribute("d", `M8 ${y - 22}h10M13 ${y - 22}V${EYE}M8 ${EYE}h10`);
    const way = `M48 ${y + 22}V${EYE - 22}q0 12 12 12H92`;
    this.supply.setAttribute("d", way);
    this.inward.setAttribute("d", `${way}H204`);
    const back = `M244 ${EYE}H80q-32 0 -32 32V${PUMP.y - 19}`;
    this.drain.setAttribute("d", `M86 ${EYE}h-6q-32 0 -32 32V${PUMP.y - 19}`);
    this.outward.setAttribute("d", back);
    const { bottle, level, ruler, supply, inward, cornea, lens, drop } = this;
    for (const part of [bottle, level, ruler, supply, inward, cornea, lens, drop]) {
      part.style.display = side.bath ? "none" : "";
    }
    this.hole.style.display = side.hole ? "" : "none";
    const { words } = this;
    words.height.textContent = side.bath ? "" : `bottle ${whole(side.bottle_cm)} cm above the eye`;
    words.bottle.textContent = side.bath ? "open dish, no bottle" : `gives ${whole(side.bottle_mmhg)} mmHg`;
    this.rotor.setAttribute("transform", `translate(${PUMP.x} ${PUMP.y})`);
  }

  /** The bench at a moment. */
  show(now) {
    const { run, words } = this;
    this.dome(now);
    this.fragment.style.opacity = String(1 - now.open);
    const stopped = !run.bath && now.supplied < 0.5;
    this.kink.style.display = stopped ? "" : "none";
    words.chamber.textContent = run.bath ? "" : now.over ? "flat" : whole(now.chamber);
    words.unit.textContent = run.bath ? "" : now.over ? "the model ends" : inChamber(now);
    const supply = stopped ? "line kinked or bottle empty" : `${flowText(now.irrigation)} mL/min`;
    words.supply.textContent = run.bath ? "" : supply;
    words.mouth.textContent = `${opening(now)}, ${flowText(now.mouth)} mL/min`;
    words.leak.textContent = run.bath ? "" : `leak ${flowText(now.leak)} mL/min`;
    words.hole.textContent = run.hole ? `hole ${flowText(now.bypass)} mL/min` : "";
    words.vacuum.textContent = this.vacuum(now);
    words.pump.textContent = this.pumpWords(now);
    this.held.setAttribute("y", String(PUMP.y + 18 - this.share(now) * 36));
    this.held.setAttribute("height", String(this.share(now) * 36));
    this.node.classList.toggle("low", now.over || (!run.bath && now.chamber < 10));
  }

  /** How much of the set vacuum is there. */
  share({ vacuum }) {
    return Math.min(1, vacuum / (this.run.limit_mmhg || 1));
  }

  /** The vacuum that the pump shows; none where the chamber pushes the fluid through it. */
  vacuum(now) {
    const { run } = this;
    if (run.flat === 0) return "vacuum not computed";
    if (now.vacuum < NO_VACUUM && now.pumped > 0.1 && !now.over) return "vacuum 0: the chamber pushes";
    const atLimit = run.pump === "flow" && now.vacuum > 0.98 * run.limit_mmhg && run.limit_mmhg > 0;
    return `vacuum ${whole(now.vacuum)} mmHg${atLimit ? ", at its limit" : ""}`;
  }

  pumpWords(now) {
    if (this.run.pump === "vacuum") return "vacuum-controlled pump";
    const steady = now.over || Math.abs(now.pumped - now.rush) < 1;
    return steady ? "flow-controlled pump" : `pump takes ${flowText(now.pumped)} mL/min`;
  }

  /** The dome sinks by the volume it loses, onto the needle at last; the lens comes forward. */
  dome(now) {
    const { run } = this;
    if (run.bath) {
      this.chamber.setAttribute("d", "M190 150H334V262H190Z");
      return;
    }
    const filled = Math.max(0, Math.min(1.4, now.over ? 0 : now.filled));
    const gone = Math.max(0, 1 - filled);
    const up = Math.max(0, filled - 1) * DOME.swollen;
    const left = DOME.full + up + gone * (DOME.needle - DOME.full);
    const right = DOME.full + up + gone * (DOME.fallen - DOME.full);
    const floor = LENS.full - gone * LENS.forward;
    const cornea = `M184 258C196 ${left} 316 ${right} 328 258`;
    this.cornea.setAttribute("d", cornea);
    this.chamber.setAttribute("d", `${cornea}Q256 ${floor - 12} 184 258Z`);
    this.lens.setAttribute("d", `M198 264Q256 ${floor - 22} 314 264`);
  }

  /** Let the dashes run for some seconds of the run. */
  advance(seconds, now) {
    this.moved.inward += seconds * SPEED * now.irrigation;
    this.moved.outward += seconds * SPEED * now.rush;
    this.inward.style.strokeDashoffset = String(-(this.moved.inward % DASH));
    this.outward.style.strokeDashoffset = String(-(this.moved.outward % DASH));
    this.turned = ((this.turned ?? 0) + seconds * 8 * now.pumped) % 360;
    const turn = `rotate(${this.turned.toFixed(1)})`;
    this.rotor.setAttribute("transform", `translate(${PUMP.x} ${PUMP.y}) ${turn}`);
  }

  /** What a screen reader says of it. */
  say(now) {
    const { run } = this;
    const chamber = run.bath ? "open dish" : now.over ? "chamber flat" : `chamber ${whole(now.chamber)} mmHg`;
    const [irrigation, leak] = [flowText(now.irrigation), flowText(now.leak)];
    const from = run.bath ? "" : `, ${irrigation} from the bottle, ${leak} out of the incision`;
    const hole = run.hole ? `, ${flowText(now.bypass)} through the hole` : "";
    const into = `${flowText(now.mouth)} mL/min into the opening${hole}`;
    const words = `${chamber}, ${this.vacuum(now)}, ${into}${from}`;
    const name = run.letters.join(" and ").replace(/[ab](?= |$)/g, (one) => one.toUpperCase());
    this.svg.setAttribute("aria-label", `${run.letters.length > 1 ? "Benches" : "Bench"} ${name}: ${words}.`);
    return `${name}: ${words}`;
  }
}
