// A chart's Bokeh figure as it stands in the page: its named parts, scales, colours and numbers.

import { captioned } from "./caption.js";
import { colours } from "./theme.js";

/**
 * @typedef {import("./chart_data.js").Data} Data
 * @typedef {import("./chart_data.js").Dot} Dot
 * @typedef {import("./chart_data.js").Kind} Kind
 */

const MARKERS = { a: "circle", b: "square", c: "triangle", d: "diamond" };

/** @type {Map<string, Promise<Kind>>} */
const known = new Map();

/** @param {string} name @returns {Promise<Kind>} its description, asked for once */
export function described(name) {
  let kind = known.get(name);
  if (!kind) {
    kind = fetch(new URL(`../charts/${name}.json`, import.meta.url)).then((answer) => {
      if (!answer.ok) throw new Error(`no chart ${name}: ${answer.status}`);
      return answer.json();
    });
    known.set(name, kind);
  }
  return kind;
}

/** @param {Kind} kind @param {HTMLElement} host @returns {Promise<Figure>} */
export async function embed(kind, host) {
  const bokeh = /** @type {any} */ (globalThis).Bokeh;
  const views = await bokeh.embed.embed_item(kind.item, host);
  return new Figure(kind, [...views][0] ?? views.roots?.[0]);
}

export class Figure {
  /** @param {Kind} kind @param {any} view of Bokeh */
  constructor(kind, view) {
    this.kind = kind;
    this.view = view;
    this.document = view.model.document;
    this.view.canvas_view.events_el.tabIndex = -1; // the chart itself takes the keyboard
    /** @type {(name: string) => string} */
    this.paint = (name) => name;
  }

  /** @param {string} name @returns {any} a part of the figure */
  part(name) {
    return this.document.get_model_by_name(name);
  }

  remove() {
    this.view.remove();
    this.document.clear();
  }

  // ---- scales ----

  /** @returns {import("./chart_words.js").Frame} where the curves are drawn, in px */
  get frame() {
    return this.view.frame.bbox;
  }

  get x() {
    return this.part("x");
  }

  get y() {
    return this.part("y");
  }

  /** @param {number} x @returns {number} px from the left */
  px(x) {
    return this.view.frame.x_scale.compute(x);
  }

  /** @param {number} y @returns {number} px from the top */
  py(y) {
    return this.view.frame.y_scale.compute(y);
  }

  /** @param {number} px from the left @returns {number} the x there, held inside the frame */
  xAt(px) {
    const { left, right } = this.frame;
    return this.view.frame.x_scale.invert(Math.min(right, Math.max(left, px)));
  }

  /** @returns {[number, number]} what is shown of x, low and high */
  span() {
    const { start, end } = this.x;
    return start < end ? [start, end] : [end, start];
  }

  /** @param {"x" | "y"} name @param {number[]} ends low and high */
  range(name, [low, high]) {
    const [start, end] = this.kind[name].reverse ? [high, low] : [low, high];
    this[name].setv({ start, end });
  }

  /**
   * Show what lies between two places, as far as the figure's own range goes.
   * @param {number} left px
   * @param {number} right px
   * @param {number[]} whole low and high of all there is
   */
  between(left, right, [lowest, highest]) {
    const scale = this.view.frame.x_scale;
    const [low, high] = [scale.invert(left), scale.invert(right)].sort((p, q) => p - q);
    this.range("x", [Math.max(low, lowest), Math.min(high, highest)]);
  }

  // ---- looks ----

  /** Take the page's colours and fonts. @param {HTMLElement} node where they apply */
  dress(node) {
    const paint = colours(node);
    this.paint = paint;
    const font = getComputedStyle(node).fontFamily;
    const plot = this.view.model;
    const words = (/** @type {string} */ what) => ({
      [`${what}text_color`]: paint("ink-soft"),
      [`${what}text_font`]: font,
      [`${what}text_font_size`]: "12px",
    });
    plot.setv({ border_fill_color: null, background_fill_color: null });
    plot.title.setv(words(""));
    for (const axis of [...plot.below, ...plot.left]) {
      axis.setv({
        ...words("axis_label_"),
        ...words("major_label_"),
        major_tick_line_color: paint("line-strong"),
      });
    }
    for (const grid of plot.center) if ("grid_line_color" in grid) grid.grid_line_color = paint("line");
    for (const line of this.kind.lines) {
      const { glyph } = this.part(`line ${line.name} drawn`);
      glyph.setv({ [line.area ? "fill_color" : "line_color"]: paint(line.colour) });
    }
    for (const name of ["shades", "bands"]) {
      this.part(`${name} drawn`).glyph.setv({ fill_color: paint("line-strong"), fill_alpha: 0.14 });
    }
    this.part("words drawn").glyph.setv({ text_font: font, background_fill_color: paint("panel") });
    this.part("cursor").line_color = paint("ink");
    this.part("probe").line_color = paint("ink-soft");
  }

  // ---- numbers ----

  /** @param {Data} data */
  feedLines(data) {
    for (const { name, area } of this.kind.lines) {
      const source = this.part(`line ${name}`);
      const curve = data.lines[name];
      if (!curve && !source.data.x.length) continue;
      const { x = [], y = [], low = [], high = [] } = curve ?? {};
      source.data = area ? { x, low, high } : { x, y };
    }
  }

  /** @param {Data} data */
  feed(data) {
    this.feedLines(data);
    const { shades = [], bands = [], levels = [], marks = [], dots = [] } = data;
    this.part("shades").data = { x0: shades.map((s) => s.from), x1: shades.map((s) => s.to) };
    this.part("bands").data = { y0: bands.map((b) => b.low), y1: bands.map((b) => b.high) };
    /** @param {{ colour?: string, dash?: string }[]} list */
    const stroke = (list) => ({
      colour: list.map((one) => this.paint(one.colour ?? "line-strong")),
      dash: list.map((one) => one.dash ?? "dashed"),
    });
    this.part("levels").data = { y: levels.map((l) => l.y), ...stroke(levels) };
    this.part("marks").data = { x: marks.map((m) => m.x), ...stroke(marks) };
    this.feedDots("dots", dots);
  }

  /** @param {"dots" | "read"} name @param {Dot[]} dots */
  feedDots(name, dots) {
    const source = this.part(name);
    if (!dots.length && !source.data.x.length) return;
    source.data = {
      x: dots.map((d) => d.x),
      y: dots.map((d) => d.y),
      marker: dots.map((d) => MARKERS[/** @type {"a"} */ (d.side)] ?? "circle"),
      fill: dots.map((d) => this.paint(d.hollow ? "panel" : (d.side ?? "ink"))),
      colour: dots.map((d) => this.paint(d.hollow ? (d.side ?? "ink") : "panel")),
    };
  }

  /** @param {import("./chart_words.js").Word[]} all */
  words(all) {
    const names = /** @type {const} */ (["x", "y", "text", "colour", "align", "style", "dx", "dy"]);
    this.part("words").data = Object.fromEntries(names.map((name) => [name, all.map((word) => word[name])]));
  }

  /**
   * The picture as it stands, on the page's paper, with words below it.
   * @param {string} [words] @returns {Promise<Blob>}
   */
  async png(words = "") {
    const paper = this.paint("panel");
    const { model } = this.view;
    model.setv({ border_fill_color: paper, background_fill_color: paper });
    const layer = this.view.export("png", true);
    model.setv({ border_fill_color: null, background_fill_color: null });
    const looks = { paper, ink: this.paint("ink"), density: layer.pixel_ratio };
    const whole = captioned(layer.canvas, words, looks);
    return new Promise((done) => whole.toBlob(done, "image/png"));
  }
}
