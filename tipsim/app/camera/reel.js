// The film: examples to start from, player, strip of slices, tracks, and what can be saved.

import { draw, make } from "../framework/make.js";
import { timeText } from "./text.js";
import { angleAt, decodeReel, swing } from "./packet.js";
import { Player } from "./player.js";
import { paintStrip, reachOf, spans } from "./strip.js";
import { LEFT, RIGHT, isBand, paintAll, paintChosen } from "./tracks.js";
import { savePictures, saveTrack } from "./save.js";

const PICTURES_A_SECOND = 6;
const LONGEST_STEP_S = 0.25; // after a hidden tab the film goes on, it does not jump
const STRIP_HEIGHT = 190; // px, time axis included
const AXIS = 22; // px
const SAY_MS = 500;

class Film {
  constructor(model) {
    this.model = model;
    this.place = 0;
    this.speed = PICTURES_A_SECOND;
    this.chosen = 1;
    this.wide = "whole";
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    this.playing = !this.calm.matches;
    this.player = new Player();
    this.root = make("div", { className: "film", keydown: (event) => this.key(event) });
    this.status = make("p", { className: "sr" });
    this.status.setAttribute("role", "status");
    this.root.append(
      this.examples(),
      this.screen(),
      this.bar(),
      this.strip(),
      this.all(),
      this.asTable(),
      this.saving(),
      this.status,
    );
    new ResizeObserver(() => this.fit()).observe(this.root);
    new IntersectionObserver(([entry]) => {
      this.inSight = entry.isIntersecting;
      this.run();
    }).observe(this.root);
    this.inSight = true;
  }

  // ---- parts, built once ----

  examples() {
    this.buttons = make("div", { className: "chips" });
    this.meaning = make("p", { className: "meaning" });
    return make(
      "div",
      { className: "examples", role: "group", ariaLabel: "Examples to start from" },
      this.buttons,
      this.meaning,
    );
  }

  screen() {
    this.title = make("p", { className: "title" });
    this.clock = make("p", { className: "clock" });
    return make("figure", { className: "screen" }, make("figcaption", {}, this.title, this.clock), this.player.canvas);
  }

  bar() {
    const step = (label, way, sign) =>
      make(
        "button",
        { type: "button", className: "step", ariaLabel: label, title: label, click: () => this.step(way) },
        sign,
      );
    this.play = make("button", { type: "button", className: "play", click: () => this.toggle() });
    this.slider = make("input", { type: "range", min: 1, step: 1, value: 1, id: "picture" });
    this.slider.addEventListener("input", () => this.show(Number(this.slider.value) - 1));
    this.pace = make("input", { type: "range", min: 1, max: 30, step: 1, value: this.speed, id: "pace" });
    this.paceWords = make("output", {});
    this.pace.addEventListener("input", () => this.setPace(Number(this.pace.value)));
    return make(
      "div",
      { className: "bar" },
      this.play,
      step("One picture back", -1, "◀"),
      step("One picture on", 1, "▶"),
      make("label", { className: "range long" }, make("span", {}, "Picture"), this.slider),
      make("label", { className: "range" }, make("span", {}, "Pace"), this.pace, this.paceWords),
    );
  }

  strip() {
    this.slices = make("canvas", { className: "slices" });
    this.curves = draw("svg", { role: "img", class: "curves" });
    this.now = make("div", { className: "now" });
    this.stage = make("div", { className: "strip" }, this.slices, this.curves, this.now);
    this.stage.addEventListener("click", (event) => this.pick(event));
    this.pickMark = make("select", { id: "mark", change: () => this.choose(Number(this.pickMark.value)) });
    this.pickSpan = make(
      "select",
      { id: "span", change: () => this.setSpan(this.pickSpan.value) },
      make("option", { value: "whole" }, "whole film"),
      make("option", { value: "few" }, "first four pictures"),
    );
    this.legend = make("p", { className: "legend" });
    return make(
      "section",
      { className: "over-time" },
      make(
        "div",
        { className: "top" },
        make("h2", {}, "Slices of the film, side by side"),
        make("div", { className: "pick" }, make("label", { htmlFor: "mark" }, "Mark"), this.pickMark),
        make("div", { className: "pick" }, make("label", { htmlFor: "span" }, "over"), this.pickSpan),
      ),
      this.stage,
      this.legend,
    );
  }

  all() {
    this.rows = make("div", { className: "rows" });
    return make("section", { className: "over-time" }, make("h2", {}, "All marks, one scale"), this.rows);
  }

  asTable() {
    this.places = make("tbody", {});
    const heads = ["Picture", "Time", "Seen, µm", "True, µm"].map((text) => make("th", { scope: "col" }, text));
    this.caption = make("caption", {});
    const table = make("table", {}, this.caption, make("thead", {}, make("tr", {}, ...heads)), this.places);
    const box = make(
      "div",
      { className: "scroll", tabIndex: 0, role: "region", ariaLabel: "Places of the chosen mark" },
      table,
    );
    this.details = make("details", {}, make("summary", {}, "The chosen mark as a table"), box);
    this.details.addEventListener("toggle", () => this.fillTable());
    return this.details;
  }

  saving() {
    const told = make("span", { className: "said" });
    const save = (label, act) =>
      make("button", { type: "button", click: async () => {
        await act(this.film);
        told.textContent = "Saved; the file says that it is model data.";
      } }, label);
    this.toBench = make("a", { className: "to-bench" }, "Change the needles on the bench");
    return make(
      "div",
      { className: "saving" },
      save("Save pictures (PNG)", savePictures),
      save("Save track (CSV)", saveTrack),
      this.toBench,
      told,
    );
  }

  // ---- a new film ----

  take() {
    if (!this.model.packet?.byteLength) return;
    const film = decodeReel(this.model.packet);
    this.film = film;
    this.player.take(film);
    this.place = Math.min(this.place, film.count - 1e-6);
    this.slider.max = film.count;
    if (!film.marks.some((m) => m.number === this.chosen)) this.chosen = film.marks[0]?.number ?? 0;
    this.toBench.href = film.bench ? `./?${film.bench}` : "./";
    this.title.replaceChildren(
      make("span", { className: `letter ${film.side}` }, film.side.toUpperCase()),
      ` ${film.needle}, ${film.drive} drive`,
    );
    this.showExamples();
    this.showMarks();
    this.fillTable();
    this.setPace(this.speed);
    this.fit(true);
    this.run();
  }

  showExamples() {
    const { examples, example } = this.film;
    const key = examples.map(({ id }) => id).join();
    if (key !== this.exampleKey) {
      this.exampleKey = key;
      this.buttons.replaceChildren(
        ...examples.map(({ id, title }) =>
          make(
            "button",
            { type: "button", className: "chip", value: id, click: () => this.send("example", id) },
            title,
          ),
        ),
      );
    }
    for (const button of this.buttons.children) button.setAttribute("aria-pressed", String(button.value === example));
    const chosen = examples.find(({ id }) => id === example);
    const rate = (1e6 / this.film.interval_us).toLocaleString("en", { maximumFractionDigits: 1 }).replaceAll(",", " ");
    const numbers = `${rate} pictures a second, exposure ${timeText(this.film.exposure_us).replace(".0 ", " ")}`;
    this.meaning.textContent = chosen ? `${numbers}: ${chosen.words}.` : `${numbers}: your own setting.`;
  }

  showMarks() {
    const { marks } = this.film;
    const key = marks.map((m) => `${m.number}:${m.distance_mm}`).join();
    if (key !== this.markKey) {
      this.markKey = key;
      this.pickMark.replaceChildren(
        ...marks.map((m) => make("option", { value: m.number }, `${m.number}, at ${m.distance_mm} mm`)),
      );
      this.rows.replaceChildren(...marks.map((m) => this.row(m)));
    }
    this.pickMark.value = this.chosen;
    this.pickMark.disabled = !marks.length;
    for (const row of this.rows.children) {
      row.firstChild.setAttribute("aria-pressed", String(Number(row.dataset.number) === this.chosen));
    }
  }

  row(mark) {
    const button = make(
      "button",
      { type: "button", className: "number", click: () => this.choose(mark.number) },
      String(mark.number),
    );
    button.setAttribute("aria-label", `Show the slices of mark ${mark.number}, ${mark.distance_mm} mm from the end`);
    const row = make("div", { className: "row" }, button, draw("svg", { role: "img" }));
    row.dataset.number = mark.number;
    return row;
  }

  keys() {
    const { surface, frequency_hz } = this.film;
    const cycles = Math.round((this.span * frequency_hz) / 1e6);
    const band = isBand(this.film, this.span) ? ` (${cycles} cycles, drawn as a band)` : "";
    const item = (kind, text) => make("span", {}, make("i", { className: kind, ariaHidden: "true" }), text);
    const out = [
      item("k-seen", "seen by the software"),
      item("k-true", (surface ? "where the mark truly is" : "truth") + band),
    ];
    if (surface) out.push(item("k-middle", "the needle's middle line"));
    return out;
  }

  // ---- sizes and painting ----

  fit(force = false) {
    const width = this.root.clientWidth;
    if (!this.film || !width || (!force && width === this.width)) return;
    this.width = width;
    this.player.fit(width - 2);
    this.paintStill();
    this.paint();
  }

  paintStill() {
    const { film, width } = this;
    const mark = film.marks.find((m) => m.number === this.chosen);
    this.span = spans(film)[this.wide];
    this.legend.replaceChildren(...this.keys());
    this.stage.hidden = !mark;
    if (mark) {
      const reach = reachOf(film, mark);
      const ratio = Math.min(2, window.devicePixelRatio || 1);
      const plane = { width: width - LEFT - RIGHT, height: STRIP_HEIGHT - AXIS, span: this.span, reach, ratio };
      this.slices.width = Math.round(plane.width * ratio);
      this.slices.height = Math.round(plane.height * ratio);
      Object.assign(this.slices.style, { left: `${LEFT}px`, width: `${plane.width}px`, height: `${plane.height}px` });
      paintStrip(this.slices.getContext("2d"), film, mark, plane);
      paintChosen(this.curves, film, mark, { width, height: STRIP_HEIGHT, span: this.span, reach });
      this.curves.setAttribute("aria-label", this.words(mark));
    }
    const svgs = [...this.rows.children].map((row) => row.lastChild);
    paintAll(svgs, film, { width, span: this.span });
    svgs.forEach((svg, k) => svg.setAttribute("aria-label", this.words(film.marks[k])));
  }

  words(mark) {
    const seen = mark.seen_um.filter((v) => v !== null);
    const travel = seen.length ? (Math.max(...seen) - Math.min(...seen)).toFixed(1) : "nothing";
    const true_ = (2 * Math.hypot(...mark.true_um)).toFixed(1);
    const lost = mark.seen_um.length - seen.length;
    return (
      `Mark ${mark.number} over ${timeText(this.span)}: seen over ${travel} micrometres, true path ${true_} ` +
      "micrometres" +
      `${lost ? `, not found in ${lost} pictures` : ""}. The table below holds the places.`
    );
  }

  paint() {
    const { film } = this;
    if (!film) return;
    const index = Math.floor(this.place);
    this.player.paint(index, this.chosen);
    const us = film.times_us[index];
    this.clock.textContent = `Picture ${index + 1} of ${film.count}, ${timeText(us)}`;
    this.slider.value = index + 1;
    if (!this.playing) this.slider.setAttribute("aria-valuetext", this.clock.textContent);
    const x = LEFT + (us / this.span) * (this.width - LEFT - RIGHT);
    this.now.hidden = us > this.span;
    this.now.style.transform = `translateX(${x.toFixed(1)}px)`;
  }

  fillTable() {
    const { film } = this;
    const mark = film?.marks.find((m) => m.number === this.chosen);
    if (!this.details.open || !mark) return;
    this.caption.textContent = `Mark ${mark.number}, from rest, along its path`;
    this.places.replaceChildren(
      ...film.times_us.map((us, i) => {
        const seen = mark.seen_um[i];
        const cells = [
          i + 1,
          timeText(us),
          seen === null ? "not found" : seen.toFixed(1),
          swing(mark.true_um, angleAt(film, us)).toFixed(1),
        ];
        return make("tr", {}, ...cells.map((text) => make("td", {}, String(text))));
      }),
    );
  }

  // ---- what a person does ----

  send(field, value) {
    this.model.send_msg({ changes: [{ field, value }] });
  }

  key(event) {
    const typing = event.composedPath()[0].closest?.("input, select, button, a, summary, .scroll");
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === " " && !typing) this.toggle();
    else if (event.key === ",") this.step(-1);
    else if (event.key === ".") this.step(1);
    else return;
    event.preventDefault();
  }

  toggle() {
    this.playing = !this.playing;
    this.run();
    if (!this.playing) this.paint();
  }

  step(way) {
    const { count } = this.film;
    this.show((Math.floor(this.place) + way + count) % count);
  }

  show(index) {
    this.playing = false;
    this.place = index;
    this.run();
    this.paint();
    clearTimeout(this.saying);
    this.saying = setTimeout(() => (this.status.textContent = this.clock.textContent), SAY_MS);
  }

  pick(event) {
    const box = this.stage.getBoundingClientRect();
    const us = ((event.clientX - box.left - LEFT) / (this.width - LEFT - RIGHT)) * this.span;
    const index = Math.round((us - this.film.times_us[0]) / this.film.interval_us);
    this.show(Math.min(this.film.count - 1, Math.max(0, index)));
  }

  choose(number) {
    this.chosen = number;
    this.showMarks();
    this.fillTable();
    this.paintStill();
    this.paint();
  }

  setSpan(wide) {
    this.wide = wide;
    this.paintStill();
    this.paint();
  }

  setPace(speed) {
    this.speed = speed;
    const slower = 1e6 / this.film.interval_us / speed;
    const times = Number(slower.toPrecision(2)).toLocaleString("en").replaceAll(",", " ");
    this.paceWords.textContent = `${speed}/s, time ÷ ${times}`;
    this.pace.setAttribute("aria-valuetext", `${speed} pictures a second, time divided by ${times}`);
  }

  // ---- the browser's own clock ----

  run() {
    this.play.textContent = this.playing ? "Pause" : "Play";
    if (!this.playing || !this.inSight || this.frame) return;
    let last = null;
    const tick = (now) => {
      this.frame = 0;
      if (!this.playing || !this.inSight || !this.film) return;
      const before = Math.floor(this.place);
      if (last !== null) this.place += Math.min((now - last) / 1000, LONGEST_STEP_S) * this.speed;
      this.place %= this.film.count;
      last = now;
      if (Math.floor(this.place) !== before) this.paint();
      this.frame = requestAnimationFrame(tick);
    };
    this.frame = requestAnimationFrame(tick);
  }

  remove() {
    cancelAnimationFrame(this.frame);
    this.playing = false;
  }
}

export function render({ model }) {
  const film = new Film(model);
  film.take();
  model.on("packet", () => film.take());
  model.on("remove", () => film.remove());
  return film.root;
}
