// A chart: a Bokeh figure that was described in Python, fed here with the page's numbers, with a
// reading for pointer and keyboard, tools, and its table, text and downloads beside it.

import { draw, make } from "./make.js";
import { csv, present, rangeOf, reading, spread, summary, table, valueAt } from "./chart_data.js";
import { colours, onTheme } from "./theme.js";

/**
 * @typedef {import("./chart_data.js").Data} Data
 * @typedef {import("./chart_data.js").Kind} Kind
 * @typedef {{ seek?: (x: number) => void, moved?: () => void }} Options
 */

const LINE_PX = 13; // from one word to the next above it
const LETTER_PX = 6.4; // about as wide is a letter
const NARROW_PX = 420; // a figure that has no room for what is said besides
const ZOOM = 1.5;
const STEP = 1 / 50; // of what is shown, for an arrow key
const READ_MS = 120; // between two readings of a running clock
const HINT = "Point at the chart, or use the arrow keys, to read values.";
const ICONS = {
  more: "M8 3v10M3 8h10",
  less: "M3 8h10",
  box: "M2 5V2h3M11 2h3v3M14 11v3h-3M5 14H2v-3M5.5 5.5h5v5h-5z",
  pan: "M8 1.5v13M1.5 8h13M6 3.5l2-2 2 2M6 12.5l2 2 2-2M3.5 6l-2 2 2 2M12.5 6l2 2-2 2",
  whole: "M3 8a5 5 0 1 0 1.6-3.7M3 2v3.2h3.2",
};

/** @type {Map<string, Promise<Kind>>} */
const known = new Map();
let count = 0;

/** @param {string} name @returns {Promise<Kind>} its description, asked for once */
function described(name) {
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

/** @param {Blob} blob @param {string} name */
export function save(blob, name) {
  const link = make("a", { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

export class Chart {
  /**
   * @param {string} name of a kind that was declared in Python
   * @param {Options} [options] seek: a press or drag on the chart sets the clock; moved: after
   *   whatever lies over the chart has to be placed anew
   */
  constructor(name, options = {}) {
    this.name = name;
    this.options = options;
    this.id = `chart-${++count}`;
    this.host = make("div", { className: "chart-host" });
    this.over = make("div", { className: "chart-over" });
    this.read = make("p", { className: "chart-read" });
    this.text = make("p", { className: "chart-text", id: `${this.id}-text` });
    this.focus = make("div", { className: "chart-focus", tabIndex: 0, role: "slider" });
    this.focus.setAttribute("aria-describedby", this.text.id);
    this.head = make("tr");
    this.body = make("tbody");
    this.caption = make("caption");
    this.details = this.makeDetails();
    this.picture = make("div", { className: "chart-picture" }, this.focus, this.host, this.over, this.tools());
    this.node = make("div", { className: "chart" }, this.picture, this.read, this.details);
    this.listen();
    /** @type {any} */
    this.view = null;
    /** @type {Data | null} */
    this.data = null;
    /** @type {number | null} */
    this.at = null;
    /** @type {number | null} */
    this.now = null;
    this.zoomed = false;
    /** @type {Promise<void> | undefined} */
    this.embedding = undefined;
    this.endTheme = onTheme(() => this.dress());
    // Bokeh measures what it stands in, so it waits until there is room.
    this.sizes = new ResizeObserver(() => this.sized());
    this.sizes.observe(this.host);
  }

  // ---- parts ----

  tools() {
    const icon = (d) => draw("svg", { viewBox: "0 0 16 16", "aria-hidden": "true" }, draw("path", { d }));
    const tool = (words, d, click) =>
      make("button", { type: "button", title: words, ariaLabel: words, click }, icon(d));
    this.modes = {
      box: tool("Zoom: drag over a part", ICONS.box, () => this.mode("box")),
      pan: tool("Move: drag, or turn the wheel to zoom", ICONS.pan, () => this.mode("pan")),
    };
    for (const button of Object.values(this.modes)) button.setAttribute("aria-pressed", "false");
    this.whole = tool("Show all", ICONS.whole, () => this.reset());
    const bar = make(
      "div",
      { className: "chart-tools", role: "toolbar" },
      tool("Zoom in", ICONS.more, () => this.zoom(1 / ZOOM)),
      tool("Zoom out", ICONS.less, () => this.zoom(ZOOM)),
      this.modes.box,
      this.modes.pan,
      this.whole,
    );
    this.bar = bar;
    return bar;
  }

  makeDetails() {
    const words = "Table and downloads";
    const button = (label, click) => make("button", { type: "button", click }, label);
    this.scroll = make(
      "div",
      { className: "scroll", tabIndex: 0, role: "region" },
      make("table", {}, this.caption, make("thead", {}, this.head), this.body),
    );
    const details = make(
      "details",
      { className: "chart-details" },
      make("summary", {}, words),
      this.text,
      this.scroll,
      make(
        "p",
        { className: "actions" },
        button("Download as CSV", () => this.saveCsv()),
        button("Download as image", () => this.savePng()),
      ),
    );
    details.addEventListener("toggle", () => this.fill());
    return details;
  }

  // ---- embedding ----

  sized() {
    if (!this.host.clientWidth) return;
    this.embedding ??= this.embed();
    this.later();
  }

  async embed() {
    const kind = await described(this.name);
    this.kind = kind;
    this.focus.setAttribute("aria-label", `${kind.title}: value under the cursor`);
    this.bar.setAttribute("aria-label", `Tools of the chart: ${kind.title}`);
    this.scroll.setAttribute("aria-label", `${kind.title}, as a table`);
    this.caption.textContent = kind.title;
    const bokeh = /** @type {any} */ (globalThis).Bokeh;
    const views = await bokeh.embed.embed_item(kind.item, this.host);
    if (this.removed) return;
    this.views = views;
    this.view = [...views][0] ?? views.roots?.[0];
    this.document = this.view.model.document;
    this.view.canvas_view.events_el.tabIndex = -1; // the chart itself takes the keyboard
    for (const name of ["x", "y"]) this.part(name).change.connect(() => this.later());
    this.dress();
    if (this.data) this.show(this.data);
  }

  /** @param {string} name @returns {any} a part of the figure */
  part(name) {
    return this.document.get_model_by_name(name);
  }

  /** Let the figure take the page's colours and fonts. */
  dress() {
    if (!this.view || !this.kind) return;
    const paint = colours(this.node);
    this.paint = paint;
    const font = getComputedStyle(this.node).fontFamily;
    const plot = this.view.model;
    plot.setv({ border_fill_color: null, background_fill_color: null });
    plot.title.setv({ text_color: paint("ink-soft"), text_font: font, text_font_size: "12px" });
    for (const axis of [...plot.below, ...plot.left]) {
      axis.setv({
        axis_label_text_color: paint("ink-soft"),
        axis_label_text_font: font,
        axis_label_text_font_size: "12px",
        major_label_text_color: paint("ink-soft"),
        major_label_text_font: font,
        major_label_text_font_size: "12px",
        major_tick_line_color: paint("line-strong"),
      });
    }
    for (const grid of plot.center) if ("grid_line_color" in grid) grid.grid_line_color = paint("line");
    for (const line of this.kind.lines) {
      const { glyph } = this.part(`line ${line.name} drawn`);
      glyph.setv({ [line.area ? "fill_color" : "line_color"]: paint(line.colour) });
    }
    this.part("shades drawn").glyph.setv({ fill_color: paint("line-strong"), fill_alpha: 0.14 });
    this.part("bands drawn").glyph.setv({ fill_color: paint("line-strong"), fill_alpha: 0.14 });
    this.part("words drawn").glyph.setv({ text_font: font, background_fill_color: paint("panel") });
    this.part("cursor").line_color = paint("ink");
    this.part("probe").line_color = paint("ink-soft");
    if (this.data) this.feed();
    this.later();
  }

  // ---- numbers ----

  /**
   * Show numbers; what was zoomed stays zoomed while the lines keep their extent.
   * @param {Data} data
   */
  show(data) {
    this.data = data;
    if (!this.view || !this.kind) return;
    this.feed();
    this.limits();
    this.text.textContent = summary(this.kind, data);
    this.tell();
    this.later();
  }

  /**
   * Show other numbers over the same ranges, as often as a picture moves; text and table wait for `show`.
   * @param {Data} data
   */
  animate(data) {
    const first = !this.data;
    if (first) return this.show(data);
    this.data = data;
    if (!this.view) return undefined;
    this.feedLines();
    this.later();
    this.telling ??= setTimeout(() => this.tell(), READ_MS);
    return undefined;
  }

  feedLines() {
    for (const { name, area } of this.kind.lines) {
      const source = this.part(`line ${name}`);
      const curve = this.data.lines[name];
      if (!curve && !source.data.x.length) continue;
      const { x = [], y = [], low = [], high = [] } = curve ?? {};
      source.data = area ? { x, low, high } : { x, y };
    }
  }

  feed() {
    const { data, paint } = this;
    this.feedLines();
    const { shades = [], bands = [], levels = [], marks = [], dots = [] } = data;
    const column = (list, each) => list.map(each);
    this.part("shades").data = { x0: column(shades, (s) => s.from), x1: column(shades, (s) => s.to) };
    this.part("bands").data = { y0: column(bands, (b) => b.low), y1: column(bands, (b) => b.high) };
    const stroke = (list) => ({
      colour: column(list, (one) => paint(one.colour ?? "line-strong")),
      dash: column(list, (one) => one.dash ?? "dashed"),
    });
    this.part("levels").data = { y: column(levels, (l) => l.y), ...stroke(levels) };
    this.part("marks").data = { x: column(marks, (m) => m.x), ...stroke(marks) };
    this.part("dots").data = this.dotColumns(dots);
  }

  dotColumns(dots) {
    return {
      x: dots.map((d) => d.x),
      y: dots.map((d) => d.y),
      marker: dots.map((d) => (d.side === "b" ? "square" : "circle")),
      fill: dots.map((d) => this.paint(d.hollow ? "panel" : (d.side ?? "ink"))),
      colour: dots.map((d) => this.paint(d.hollow ? (d.side ?? "ink") : "panel")),
    };
  }

  /** Work out what the axes show, unless the person has chosen. */
  limits() {
    const { kind, data } = this;
    const curves = Object.values(data.lines);
    const xs =
      data.x ??
      rangeOf(
        kind.x,
        curves.map(({ x }) => x),
        true,
      );
    const bands = (data.bands ?? []).flatMap(({ low, high }) => [low, high]);
    const extra = [...(data.levels ?? []).map(({ y }) => y), ...bands];
    const lists = [...curves.flatMap(({ y, low, high }) => [y ?? [], low ?? [], high ?? []]), extra];
    const ys = data.y ?? rangeOf(kind.y, lists, false);
    const same = this.home && this.home.x.join() === xs.join();
    this.home = { x: xs, y: ys };
    if (!this.zoomed || !same) this.reset();
  }

  reset() {
    if (!this.home || !this.view) return;
    // Words that would hang over the left edge in other ranges leave a trace there.
    this.words([]);
    this.range("x", this.home.x);
    this.range("y", this.home.y);
    this.zoomed = false;
    this.later();
  }

  /** @param {"x" | "y"} name @param {number[]} ends low and high */
  range(name, [low, high]) {
    const [start, end] = this.kind[name].reverse ? [high, low] : [low, high];
    this.part(name).setv({ start, end });
  }

  /** @returns {[number, number]} what is shown of x, low and high */
  span() {
    const { start, end } = this.part("x");
    return start < end ? [start, end] : [end, start];
  }

  // ---- words in the picture ----

  /** Place all words once, soon: after whatever changes now has changed. */
  later() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => {
      this.waiting = 0;
      this.place();
      this.options.moved?.();
    });
  }

  place() {
    if (!this.view || !this.data || !this.frame().width) return;
    const { x, y } = this.home;
    const [low, high] = this.span();
    const ys = this.part("y");
    const apart = (a, b, /** @type {number[]} */ [from, to]) =>
      Math.abs(a - from) + Math.abs(b - to) > 1e-9 * (to - from);
    this.zoomed = apart(low, high, x) || apart(ys.start, ys.end, y);
    this.whole.disabled = !this.zoomed;
    const words = [...this.ends(), ...this.levelWords(), ...this.markWords(), ...this.dotWords(), ...this.ticks()];
    this.words(words);
    this.fill();
  }

  words(all) {
    const names = ["x", "y", "text", "colour", "align", "style", "dx", "dy"];
    this.part("words").data = Object.fromEntries(names.map((name) => [name, all.map((word) => word[name])]));
  }

  frame() {
    return this.view.frame.bbox;
  }

  /** Where the curves are drawn, in px of `over`; null until there is a figure. */
  box() {
    return this.view && this.home ? this.frame() : null;
  }

  /** @param {number} x @returns {number} px from the left of `over` */
  px(x) {
    return this.view.frame.x_scale.compute(x);
  }

  py(y) {
    return this.view.frame.y_scale.compute(y);
  }

  word(x, y, text, more = {}) {
    return { x, y, text, colour: this.paint("ink-soft"), align: "left", style: "normal", dx: 0, dy: 0, ...more };
  }

  /** Names at the curves' ends, beside one another where they would touch. */
  ends() {
    const { start, end } = this.part("x");
    const { top, bottom } = this.frame();
    const out = [];
    for (const [line, { x, y }] of present(this.kind, this.data)) {
      if (!y || !line.short) continue;
      const [first, last] = [x[0], x[x.length - 1]].sort((p, q) => p - q);
      const at = Math.min(Math.max(end, first), last);
      const value = valueAt(x, y, at, line.step);
      if (value === null || (at - start) * (at - end) > 1e-9 * (end - start) ** 2) continue;
      if (this.py(value) < top - 1 || this.py(value) > bottom + 1) continue;
      out.push(this.word(at, value, line.short, { colour: this.paint(line.colour), style: "bold", dx: 6 }));
    }
    const wanted = out.map(({ y }) => this.py(y));
    spread(wanted, LINE_PX, top, bottom).forEach((height, k) => (out[k].dy = height - this.py(out[k].y)));
    return out;
  }

  /** Words at lines and bands across: above them, each clear of the one below; under a line at the top. */
  levelWords() {
    const { levels = [], bands = [] } = this.data;
    const { start, end } = this.part("x");
    const { top, bottom, width } = this.frame();
    const out = [];
    for (const { low, high, label } of bands) {
      const inside = this.py(high) > top - 1 && this.py(low) < bottom + 1;
      if (label && inside) out.push(this.word(end, high, label, { align: "right", dx: -4, dy: 9 }));
    }
    for (const side of [true, false]) {
      const shown = (/** @type {any} */ { label, minor }) => label && !(minor && width < NARROW_PX);
      const these = levels.filter((level) => shown(level) && Boolean(level.left) === side);
      let floor = Infinity;
      for (const { y, label, colour } of these.sort((p, q) => p.y - q.y)) {
        const own = this.py(y);
        if (own < top - 1 || own > bottom + 1) continue;
        let height = Math.min(own - 7, floor - LINE_PX);
        if (height < top && own + 8 < floor - LINE_PX) height = own + 8;
        floor = height;
        const more = { align: side ? "left" : "right", dx: side ? 4 : -4, dy: height - own };
        out.push(this.word(side ? start : end, y, label, { ...more, ...(colour && { colour: this.paint(colour) }) }));
      }
    }
    return out;
  }

  /** Words at lines upward and shades: at the top or foot, a line further in where they would touch. */
  markWords() {
    const { marks = [], shades = [] } = this.data;
    const { left, right, top, bottom } = this.frame();
    const { start: foot, end: head } = this.part("y");
    /** @type {any[]} */
    const all = [...marks, ...shades.map(({ from, to, label }) => ({ x: (from + to) / 2, label, middle: true }))];
    /** @type {Record<string, number[]>} */
    const rows = { foot: [], head: [] };
    return all
      .filter(({ x, label }) => label && this.px(x) >= left - 1 && this.px(x) <= right + 1)
      .sort((p, q) => this.px(p.x) - this.px(q.x))
      .map((one) => {
        const wide = one.label.length * LETTER_PX + 8;
        const align = one.middle ? "center" : this.px(one.x) + wide > right ? "right" : "left";
        const from = this.px(one.x) - { center: wide / 2, right: wide, left: 0 }[align];
        const taken = one.foot ? rows.foot : rows.head;
        let row = taken.findIndex((end) => end < from);
        if (row < 0) row = taken.length;
        taken[row] = from + wide;
        const dx = { center: 0, right: -4, left: 4 }[align];
        const colour = this.paint(one.colour ?? "ink-soft");
        const [y, dy] = one.foot
          ? [foot, bottom - this.py(foot) - 9 - LINE_PX * row]
          : [head, top - this.py(head) + 9 + LINE_PX * row];
        return this.word(one.x, y, one.label, { colour, align, dx, dy });
      });
  }

  /** Short strokes at the foot, as for natural frequencies. */
  ticks() {
    const { start, end } = this.part("x");
    const inside = ({ x }) => (x - start) * (x - end) <= 0;
    const stroke = ({ x, side }) =>
      this.word(x, this.part("y").start, "|", { colour: this.paint(side), align: "center", style: "bold", dy: -7 });
    return (this.data.ticks ?? []).filter(inside).map(stroke);
  }

  dotWords() {
    const { left, right } = this.frame();
    return (this.data.dots ?? [])
      .filter(({ x, label }) => label && this.px(x) >= left && this.px(x) <= right)
      .map(({ x, y, label }) => {
        const late = this.px(x) + label.length * LETTER_PX + 12 > right;
        return this.word(x, y, label, { align: late ? "right" : "left", dx: late ? -9 : 9, dy: -8 });
      });
  }

  // ---- reading, and the page's clock ----

  /**
   * Set the cursor, the page's clock.
   * @param {number} x
   */
  cursor(x) {
    this.now = x;
    if (!this.view) return;
    this.part("cursor").setv({ location: x, visible: true });
    if (this.at === null) this.telling ??= setTimeout(() => this.tell(), READ_MS);
  }

  /** @param {number | null} x read here; null: where the clock is */
  probe(x) {
    this.at = x;
    this.tell();
  }

  /** Write the values at the probe, else at the clock. */
  tell() {
    if (!this.view || !this.data) return;
    clearTimeout(this.telling);
    this.telling = undefined;
    const at = this.at ?? this.now;
    this.part("probe").setv({ location: this.at ?? 0, visible: this.at !== null });
    const dots = [];
    if (this.at !== null) {
      for (const [line, { x, y }] of present(this.kind, this.data)) {
        const value = y ? valueAt(x, y, this.at, line.step) : null;
        if (value !== null) dots.push({ x: this.at, y: value, side: line.colour });
      }
    }
    if (dots.length || this.part("read").data.x.length) this.part("read").data = this.dotColumns(dots);
    const [low, high] = this.span();
    const words = at === null ? HINT : reading(this.kind, this.data, at);
    this.read.textContent = words;
    this.focus.setAttribute("aria-valuemin", String(low));
    this.focus.setAttribute("aria-valuemax", String(high));
    this.focus.setAttribute("aria-valuenow", String(at ?? (low + high) / 2));
    this.focus.setAttribute("aria-valuetext", words);
  }

  /** @param {PointerEvent | MouseEvent} event @returns {number | null} its x, null beside the frame */
  xOf(event, clamped = false) {
    if (!this.view) return null;
    const box = this.host.getBoundingClientRect();
    const { left, right } = this.frame();
    const px = event.clientX - box.left;
    if (!clamped && (px < left - 6 || px > right + 6)) return null;
    return this.view.frame.x_scale.invert(Math.min(right, Math.max(left, px)));
  }

  listen() {
    const { host, options } = this;
    const free = () => !this.dragging;
    host.addEventListener("pointermove", (event) => {
      if (this.seeking) options.seek?.(/** @type {number} */ (this.xOf(event, true)));
      else this.probe(this.xOf(event));
    });
    host.addEventListener("pointerleave", () => this.probe(null));
    host.addEventListener("pointerdown", (event) => {
      const x = this.xOf(event);
      if (x === null || !free()) return;
      this.focus.focus({ preventScroll: true });
      if (!options.seek) return this.probe(x);
      this.seeking = true;
      host.setPointerCapture(event.pointerId);
      this.probe(null);
      options.seek(x);
    });
    for (const kind of ["pointerup", "pointercancel"]) host.addEventListener(kind, () => (this.seeking = false));
    this.focus.addEventListener("keydown", (event) => this.key(event));
    this.focus.addEventListener("blur", () => this.probe(null));
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (!this.view || event.ctrlKey || event.metaKey || event.altKey) return;
    const [low, high] = this.span();
    const way = this.kind.x.reverse ? -1 : 1;
    const share = (x) => this.view.frame.x_scale.compute(x);
    const by = (part) => {
      const from = this.at ?? this.now ?? (low + high) / 2;
      const { left, right, width } = this.frame();
      const px = Math.min(right, Math.max(left, share(from) + part * width));
      this.probe(this.view.frame.x_scale.invert(px));
    };
    const acts = {
      ArrowLeft: () => (event.shiftKey ? this.pan(-STEP * 5) : by(-STEP)),
      ArrowRight: () => (event.shiftKey ? this.pan(STEP * 5) : by(STEP)),
      PageDown: () => by(-STEP * 10),
      PageUp: () => by(STEP * 10),
      Home: () => this.probe(way > 0 ? low : high),
      End: () => this.probe(way > 0 ? high : low),
      "+": () => this.zoom(1 / ZOOM),
      "-": () => this.zoom(ZOOM),
      0: () => this.reset(),
      Enter: () => this.at !== null && this.options.seek?.(this.at),
    };
    const act = acts[/** @type {keyof typeof acts} */ (event.key)];
    if (!act) return;
    event.preventDefault();
    event.stopPropagation();
    act();
  }

  // ---- zoom ----

  /** @param {"box" | "pan"} name drags do this, or no longer */
  mode(name) {
    this.dragging = this.dragging === name ? null : name;
    this.part("box").active = this.dragging === "box";
    this.part("pan").active = this.dragging === "pan";
    this.part("wheel").active = this.dragging === "pan";
    for (const [one, button] of Object.entries(this.modes)) {
      button.setAttribute("aria-pressed", String(one === this.dragging));
    }
    this.picture.classList.toggle("dragging", Boolean(this.dragging));
  }

  /** Show x from and to these shares of what is shown, around the reading. */
  zoom(factor) {
    if (!this.view) return;
    const { left, right, width } = this.frame();
    const middle = this.at ?? this.now;
    const at = middle === null ? (left + right) / 2 : Math.min(right, Math.max(left, this.px(middle)));
    const from = at - (at - left) * factor;
    this.show_px(from, from + width * factor);
  }

  /** @param {number} share of what is shown, to the right */
  pan(share) {
    const { left, right, width } = this.frame();
    this.show_px(left + share * width, right + share * width);
  }

  show_px(left, right) {
    const scale = this.view.frame.x_scale;
    const [a, b] = [scale.invert(left), scale.invert(right)];
    const [low, high] = [Math.min(a, b), Math.max(a, b)];
    const { x } = this.home;
    if (low <= x[0] && high >= x[1]) return this.range("x", x);
    this.range("x", [Math.max(low, x[0]), Math.min(high, x[1])]);
  }

  // ---- beside the picture ----

  fill() {
    if (!this.details.open || !this.kind || !this.data) return;
    const { titles, rows } = table(this.kind, this.data, this.span());
    this.head.replaceChildren(...titles.map((title) => make("th", { scope: "col" }, title)));
    const cell = (text, k) => (k ? make("td", {}, text) : make("th", { scope: "row" }, text));
    this.body.replaceChildren(...rows.map((row) => make("tr", {}, ...row.map(cell))));
  }

  fileName() {
    return `tipsim-${this.name.replaceAll(".", "-")}`;
  }

  saveCsv() {
    if (!this.data) return;
    save(new Blob([csv(this.kind, this.data)], { type: "text/csv" }), `${this.fileName()}.csv`);
  }

  /** Save the picture as it stands, on the page's paper. */
  async savePng() {
    if (!this.view) return;
    const paper = this.paint("panel");
    this.view.model.setv({ border_fill_color: paper, background_fill_color: paper });
    const layer = this.view.export("png", true);
    this.view.model.setv({ border_fill_color: null, background_fill_color: null });
    save(await layer.to_blob(), `${this.fileName()}.png`);
  }

  remove() {
    this.removed = true;
    this.endTheme();
    this.sizes.disconnect();
    this.view?.remove();
    this.document?.clear();
  }
}
