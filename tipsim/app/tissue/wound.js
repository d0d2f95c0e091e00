// The wound: how the sleeve sits at once, how warm the lip gets a moment later, signs, what first.

import { Chart } from "../framework/chart.js";
import { make } from "../framework/make.js";
import { NumberTable, SMALL_PRINT, noteList, openedSources, sideLetter } from "./rows.js";
import { Lips } from "./lips.js";

const QUIET_MS = 150; // after the last change, before the slower part is asked for
const SIGNS = { green: "●", amber: "▲", red: "■" };
const LEAST_DOSE = 0.001;
const LAWS = [
  ...[
    "limit.bench",
    "limit.collagen_from",
    "limit.collagen_to",
    "wound.dose",
    "cem43.break",
    "cem43.above",
    "cem43.below",
  ],
  ...["skin", "tendon", "cornea"].flatMap((tissue) =>
    ["factor", "entropy", "energy", "from", "to"].map((part) => `${tissue}_collagen.${part}`),
  ),
];

class WoundPanel {
  constructor(model) {
    this.model = model;
    this.lips = ["a", "b"].map((key) => new Lips(key));
    this.fitTable = new NumberTable("How it sits", model.sources);
    this.heatTable = new NumberTable("How warm, and what that does", model.sources);
    this.risks = make("div", { className: "sides risks" });
    const seek = (time) => {
      this.slider.value = String(time);
      this.move();
    };
    this.plots = {
      time: new Chart("wound.time", { seek }),
      depth: new Chart("wound.depth"),
      dose: new Chart("wound.dose"),
      collagen: new Chart("wound.collagen"),
    };
    this.slider = make("input", { type: "range", id: "lip-time", min: 0, max: 1, step: 0.1, value: 1 });
    this.slider.addEventListener("input", () => this.move());
    this.reading = make("span", { className: "reading" });
    this.pending = make("p", { className: "pending", hidden: true }, "Temperatures are being computed …");
    this.pending.setAttribute("role", "status");
    this.shadeWords = make("p", { className: "soft" });
    this.notes = make("div", { className: "two" });
    this.warm = make("div", { className: "part warm" });
    this.build();
    this.root = make(
      "div",
      { className: "part" },
      make("div", { className: "sides" }, ...this.lips.map(({ node }) => node)),
      this.fitTable.node,
      this.pending,
      this.warm,
      this.notes,
    );
  }

  build() {
    const { time, depth, dose, collagen } = this.plots;
    this.warm.append(
      this.risks,
      make(
        "div",
        { className: "two" },
        time.node,
        depth.node,
      ),
      make("div", { className: "range" }, make("label", { htmlFor: "lip-time" }, "Moment"), this.slider, this.reading),
      make("h3", {}, "Injury over depth, by two measures"),
      make("div", { className: "two" }, dose.node, collagen.node),
      this.shadeWords,
      openedSources("laws", "Sources of limits and laws", LAWS, this.model.sources),
      this.heatTable.node,
      make("p", { className: "soft" }, SMALL_PRINT),
    );
  }

  fit() {
    const { sides, rows, signs = [], first = [] } = this.model.fit;
    if (!sides) return;
    this.lips.forEach((lips, k) => lips.show(sides[k]));
    this.fitTable.show(rows);
    if (!this.notes.children.length) {
      this.notes.append(
        make("div", {}, make("h3", {}, "What tells"), noteList(signs)),
        make("div", {}, make("h3", {}, "What to do first"), this.ordered(first)),
      );
    }
  }

  ordered(first) {
    const list = noteList(first);
    return make("ol", { className: "notes" }, ...list.children);
  }

  /** Ask for the slower part when nothing has changed for a moment. */
  ask() {
    const { stamp, heat } = this.model;
    const old = heat.stamp !== stamp;
    this.pending.hidden = !old;
    this.warm.classList.toggle("old", old);
    this.warm.hidden = !heat.sides;
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.model.send_msg({ want: stamp }), QUIET_MS);
  }

  heat() {
    const { heat } = this.model;
    if (!heat.sides) return;
    this.pending.hidden = heat.stamp === this.model.stamp;
    this.warm.classList.toggle("old", !this.pending.hidden);
    this.warm.hidden = false;
    this.risks.replaceChildren(...heat.sides.map((side) => this.risk(side)));
    const end = heat.times[heat.times.length - 1];
    const same = Number(this.slider.max) === end;
    this.slider.max = end;
    if (!same || !this.seen) this.slider.value = this.hottest();
    this.seen = true;
    this.overTime();
    this.injuries();
    this.heatTable.show(heat.rows);
    this.move();
  }

  hottest() {
    const faces = this.model.heat.sides.map(({ field }) => field.map((line) => line[0]));
    const best = faces.map((face) => Math.max(...face));
    const side = best[0] >= best[1] ? 0 : 1;
    return this.model.heat.times[faces[side].indexOf(best[side])];
  }

  risk({ key, colour, risk, base }) {
    return make(
      "div",
      { className: `risk ${colour}` },
      make("p", {}, sideLetter(key), " ", make("strong", {}, `${SIGNS[colour]} ${colour}`), ` ${risk}`),
      make("p", { className: "soft" }, base),
    );
  }

  range() {
    const { sides } = this.model.heat;
    const all = sides.flatMap(({ sleeve, peak }) => [...sleeve, ...peak]);
    return [Math.floor(Math.min(...all) / 5) * 5, Math.max(50, Math.ceil((Math.max(...all) + 2) / 5) * 5)];
  }

  levels() {
    return this.model.heat.limits.map(({ celsius, label }, k) => ({
      y: celsius,
      label: `${celsius} °C ${label}`,
      colour: k > 0 ? "bad" : "warn",
    }));
  }

  /** Curves of both sides by the names of a kind's lines. */
  lines(of) {
    return Object.fromEntries(this.model.heat.sides.flatMap((side) => Object.entries(of(side))));
  }

  overTime() {
    const { times } = this.model.heat;
    this.plots.time.show({
      lines: this.lines(({ key, sleeve, field }) => ({
        [`${key}_thin`]: { x: times.slice(0, sleeve.length), y: sleeve },
        [key]: { x: times.slice(0, field.length), y: field.map((line) => line[0]) },
      })),
      levels: this.levels(),
      x: [0, times[times.length - 1]],
      y: this.range(),
    });
  }

  move() {
    const { times, sides } = this.model.heat;
    const time = Number(this.slider.value);
    const i = times.reduce((best, t, k) => (Math.abs(t - time) < Math.abs(times[best] - time) ? k : best), 0);
    const shown = ({ field }) => field[Math.min(i, field.length - 1)];
    this.reading.textContent = `${time.toFixed(1)} s`;
    this.slider.setAttribute(
      "aria-valuetext",
      `${time.toFixed(1)} seconds: ` +
      `${sides.map((s) => `${s.key.toUpperCase()} ${shown(s)[0].toFixed(1)} °C at the face`).join(", ")}`,
    );
    this.plots.time.cursor(time);
    this.plots.depth.show({
      lines: this.lines((side) => ({
        [`${side.key}_thin`]: { x: side.depth, y: side.peak },
        [side.key]: { x: side.depth, y: shown(side) },
      })),
      levels: this.levels(),
      x: this.across(),
      y: this.range(),
      words: `At ${time.toFixed(1)} s.`,
    });
  }

  across() {
    return [0, Math.max(...this.model.heat.sides.map(({ depth }) => depth[depth.length - 1]))];
  }

  injuries() {
    const { sides, laws, all_from: allFrom, beyond, corneas } = this.model.heat;
    const ceiling = Math.max(100, ...sides.flatMap(({ dose }) => dose)) * 2;
    this.plots.dose.show({
      lines: this.lines(({ key, depth, dose }) => ({ [key]: { x: depth, y: dose } })),
      levels: [{ y: corneas, label: `corneas: from ${corneas}`, colour: "warn" }],
      x: this.across(),
      y: [LEAST_DOSE, ceiling],
    });
    const percent = (values) => values.map((v) => v * 100);
    this.plots.collagen.show({
      lines: this.lines(({ key, depth: x, least, most }) => ({
        [`${key}_band`]: { x, low: percent(least), high: percent(most) },
        [key]: { x, y: percent(most) },
        [`${key}_least`]: { x, y: percent(least) },
      })),
      shades: this.unsure(allFrom, beyond),
      x: this.across(),
      y: [0, 100],
    });
    const spans = laws.map(({ title, lowest, highest }) => `${title} ${lowest} to ${highest} °C`).join("; ");
    this.shadeWords.textContent = "Shaded: depths where at least one law says nothing or is carried on beyond what " +
      `it was measured at, on bench A or B. Laws are used at: ${spans}. Below its lowest temperature a law counts ` +
      "nothing.";
  }

  /** Stretches of depth in which some law is silent or carried on, on either side. */
  unsure(allFrom, beyond) {
    const out = [];
    for (const { depth, peak } of this.model.heat.sides) {
      const odd = (celsius) => celsius < allFrom || celsius > beyond;
      for (let i = 0; i + 1 < depth.length; i++) {
        if (odd(peak[i]) || odd(peak[i + 1])) out.push({ from: depth[i], to: depth[i + 1] });
      }
    }
    return merged(out);
  }
}

/** Overlapping stretches as one. */
const merged = (spans) => {
  const out = [];
  for (const span of spans.sort((a, b) => a.from - b.from)) {
    const last = out[out.length - 1];
    if (last && span.from <= last.to + 1e-9) last.to = Math.max(last.to, span.to);
    else out.push({ ...span });
  }
  return out;
};

export function render({ model }) {
  const panel = new WoundPanel(model);
  panel.fit();
  panel.heat();
  panel.ask();
  model.on("fit", () => panel.fit());
  model.on("stamp", () => panel.ask());
  model.on("heat", () => panel.heat());
  model.on("remove", () => clearTimeout(panel.waiting));
  return panel.root;
}
