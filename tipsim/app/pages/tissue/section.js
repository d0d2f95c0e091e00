// One needle beside its iris: side view, and cut across at the place where it is nearest.

import { draw, make } from "../../framework/make.js";

const BOX = { width: 460, height: 250 };
const SIDE = { scale: 20, end: 300, axis: 92 }; // px per mm, x of the tip, y of the shaft
const CUT = { scale: 62, x: 386, y: 96 }; // px per mm; middle of the cut needle
const TURNS = 0.8; // turns a second of the slowed vibration
const ROUND = 2 * Math.PI;

/** @param {number} count */
export const contactsText = (count) => `${count} ${count === 1 ? "contact" : "contacts"}`;

export class IrisSection {
  constructor(key) {
    this.key = key;
    this.title = make("figcaption", {});
    this.svg = draw("svg", { viewBox: `0 0 ${BOX.width} ${BOX.height}`, role: "img", class: "section" });
    this.svg.setAttribute("aria-label", `Iris beside needle ${key.toUpperCase()}, being computed`);
    this.held = make("p", { className: "note held" });
    this.node = make("figure", {}, this.title, this.svg, this.held);
  }

  add(tag, attributes, words) {
    const node = draw(tag, attributes);
    if (words !== undefined) node.textContent = words;
    this.svg.append(node);
    return node;
  }

  /** A new setting: all that does not move. */
  take(head, side) {
    this.head = head;
    this.side = side;
    this.svg.replaceChildren();
    this.held.textContent = side.held;
    this.held.hidden = !side.held;
    const letter = make("span", { className: `letter ${this.key}` }, this.key.toUpperCase());
    this.title.replaceChildren(letter, ` ${side.title.split(",")[0]}`);
    this.fromTheSide();
    this.across();
    this.words();
  }

  // ---- from the side ----

  x(fromEnd) {
    return SIDE.end - fromEnd * SIDE.scale;
  }

  outline(points) {
    return (
      points
        .map(([x, y], i) => `${i ? "L" : "M"}${this.x(x).toFixed(1)} ${(SIDE.axis + y * SIDE.scale).toFixed(1)}`)
        .join("") + "Z"
    );
  }

  fromTheSide() {
    const { outlines, place } = this.side;
    const [near, far] = this.head.wound;
    const radius = this.wide();
    const end = Math.max(...(outlines.sleeve ?? outlines.needle).map(([x]) => x));
    const lip = SIDE.axis - radius * SIDE.scale;
    const [from, to] = [this.x(far), this.x(near)];
    const under = 2 * SIDE.axis - lip;
    this.add("path", {
      class: "lip",
      d: `M${from} ${lip}H${to}q26 -4 40 -22q-34 -16 -${(to - from + 40).toFixed(0)} -30z`,
    });
    this.add("path", { class: "lip", d: `M${this.x(end)} ${under + 2}H${from - 6}q-6 22 -30 34H${this.x(end)}z` });
    if (outlines.sleeve) {
      this.add("path", { class: "sleeve", d: this.outline(outlines.sleeve) });
      this.add("path", { class: "inside", d: this.outline(outlines.fluid) });
    }
    this.add("path", { class: "needle", d: this.outline(outlines.needle) });
    this.leaf = this.add("path", { class: "iris" });
    const cut = this.x(place);
    this.add("path", { class: "cut", d: `M${cut} 60V160` });
    this.add("text", { x: Math.max(cut, 66), y: 174, class: "mid" }, `${Number(place.toFixed(2))} mm from the tip`);
    this.add("text", { x: Math.max(from + 6, 8), y: lip - 24, class: "soft" }, "incision");
  }

  wide() {
    const { sleeve, needle } = this.side;
    return (sleeve ?? needle)[0];
  }

  /** The iris from its root to its edge, nearest at the place. */
  leafPath(gap) {
    const { place, middle } = this.side;
    const down = SIDE.axis + (middle + this.wide() + gap) * SIDE.scale;
    const thick = this.head.thickness * SIDE.scale;
    const [root, at, edge] = [this.x(place + 5.5), this.x(place), this.x(place - 1.6)];
    const low = Math.max(down + 26, SIDE.axis + 62);
    const top = `M${root} ${low}Q${root + 40} ${down} ${at} ${down}Q${edge - 8} ${down} ${edge} ${down + 7}`;
    return `${top}q4 ${thick / 2} -4 ${thick}Q${at + 10} ${down + thick + 1} ${at} ` +
      `${down + thick + 1}Q${root + 46} ${down + thick + 4} ${root} ${low + thick + 3}Z`;
  }

  // ---- across ----

  across() {
    const { needle, sleeve, turn_deg: turn } = this.side;
    const round = (radius, name) => draw("circle", { r: (radius * CUT.scale).toFixed(1), class: name });
    this.swing = draw("g", {});
    this.hold = draw("g", {});
    if (sleeve) this.hold.append(round(sleeve[0], "sleeve"), round(sleeve[1], "inside"));
    this.swing.append(round(needle[0], "needle"), round(needle[1], "bore"));
    this.patch = draw("path", { class: "patch" });
    this.sheet = draw("path", { class: "iris" });
    this.svg.append(this.sheet, this.hold, this.swing, this.patch);
    // The bend plane, seen from the tip: the iris always lies below.
    const angle = (-turn * Math.PI) / 180;
    const far = this.wide() * CUT.scale + 9;
    const tip = (r) => `${(CUT.x + Math.sin(angle) * r).toFixed(1)} ${(CUT.y + Math.cos(angle) * r).toFixed(1)}`;
    if (Math.abs(turn) > 8) this.add("path", { class: "bend", d: `M${tip(far - 7)}L${tip(far + 7)}` });
    this.lit = this.add("text", { x: CUT.x, y: 26, class: "mid lit" });
  }

  /** A band below the cut, pressed flat where it meets what it touches. */
  sheetPath(gap) {
    const { arc_deg: arc } = this.side;
    const radius = this.wide() * CUT.scale;
    const y = CUT.y + radius + gap * CUT.scale;
    const thick = this.head.thickness * CUT.scale;
    const half = 68;
    const sag = 5 + arc / 40;
    const [l, r] = [CUT.x - half, CUT.x + half];
    return `M${l} ${y - sag}Q${CUT.x} ${y + sag} ${r} ${y - sag}v${thick}Q${CUT.x} ${y + thick + sag} ${l} ` +
      `${y + thick - sag}Z`;
  }

  patchPath(dx, dy) {
    const half = (this.side.arc_deg * Math.PI) / 360;
    const radius = this.wide() * CUT.scale + 1.5;
    const at = (sign) =>
      `${(CUT.x + dx + sign * radius * Math.sin(half)).toFixed(1)} ` +
      `${(CUT.y + dy + radius * Math.cos(half)).toFixed(1)}`;
    return `M${at(-1)}A${radius.toFixed(1)} ${radius.toFixed(1)} 0 0 0 ${at(1)}`;
  }

  words() {
    this.ruler(SIDE.scale, 12, 188);
    this.ruler(CUT.scale, 330, 240);
    this.gapText = this.add("text", { x: 12, y: 210, class: "strong" });
    this.sumText = this.add("text", { x: 12, y: 228, class: "strong" });
  }

  ruler(scale, x, y) {
    this.add("path", { class: "ruler", d: `M${x} ${y - 3}v6M${x} ${y}h${scale}m0 -3v6` });
    this.add("text", { x: x + scale + 6, y: y + 4, class: "soft" }, "1 mm");
  }

  // ---- a moment ----

  /** Show a moment; `turn` is the phase of the slowed vibration in turns. */
  show(now, turn) {
    const { moves, mobility, sleeve } = this.side;
    const phase = turn * TURNS * ROUND;
    const [dy, dx] = moves.map(([re, im]) => (re * Math.cos(phase) - im * Math.sin(phase)) * CUT.scale);
    const share = sleeve ? mobility : 1;
    const shift = (node, x, y) =>
      node.setAttribute("transform", `translate(${(CUT.x + x).toFixed(2)} ${(CUT.y + y).toFixed(2)})`);
    shift(this.swing, dx, dy);
    shift(this.hold, dx * share, dy * share);
    // What is pressed on does not go through: it lies on the surface.
    const gap = Math.max(now.gap, this.side.reach);
    this.leaf.setAttribute("d", this.leafPath(gap));
    this.sheet.setAttribute("d", this.sheetPath(gap));
    this.patch.setAttribute("d", now.touching ? this.patchPath(dx * share, dy * share) : "");
    for (const node of [this.leaf, this.sheet]) node.classList.toggle("touching", now.touching);
    this.lit.textContent = now.touching ? "● touching" : "";
    this.gapText.textContent = now.touching ? "no gap: the iris touches" : `gap ${now.gap.toFixed(2)} mm`;
    this.sumText.textContent = this.side.held ? "" : `${contactsText(now.contacts)} so far`;
  }

  describe(words) {
    this.svg.setAttribute("aria-label", words);
  }
}
