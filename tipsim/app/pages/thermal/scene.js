// Both pictures of a thermal camera on one clock: colours and scales, cursors, readings, charts.

import { Chart } from "../../framework/chart.js";
import { Clock, Player, calm } from "../../framework/clock.js";
import { make } from "../../framework/make.js";
import { numberText } from "../../framework/numbers.js";
import { decode } from "../../framework/packet.js";
import { Ready } from "../../framework/ready.js";
import { filmButton } from "../../framework/save.js";
import { onTheme } from "../../framework/theme.js";
import { Cursors } from "./cursors.js";
import { Film } from "./film.js";
import { Picture, tenth } from "./picture.js";

/** @type {[number, string][]} */
const SPEEDS = [[1, "Real time"], [5, "5×"], [10, "10×"], [30, "30×"]];
const HELP = "Arrow keys move the point and its line; with Shift they move the region and make it longer or shorter.";
const SIDES = ["a", "b"];
const KINDS = [["scale", "Scale"]];

class Scene {
  constructor(model) {
    this.model = model;
    this.gesture = 0;
    this.clock = new Clock(() => this.paint(), { rate: 10 });
    this.player = new Player(this.clock, {
      calm: true,
      step: 1,
      fine: 0.1,
      steps: ["One second back", "One second on"],
      speeds: SPEEDS,
      format: (time) => `${time.toFixed(1)} s`,
    });
    this.ready = new Ready("Pictures to start from", (id) => this.change("both", "example", id));
    this.cursors = new Cursors(() => this.moved(), (changes) => this.send(changes));
    this.overTime = new Chart("thermal.time", { seek: (time) => this.player.seek(time) });
    this.along = new Chart("thermal.line", { seek: (x) => this.cursors.set({ point: x }) });
    this.build();
    this.sizes = new ResizeObserver(() => this.fit());
    this.sizes.observe(this.stage);
    this.endTheme = onTheme(() => {
      for (const { picture } of this.sides) if (picture.scale) picture.dress();
      this.stale();
    });
    this.clock.watch(this.root);
  }

  // ---- parts, built once ----

  build() {
    this.sides = SIDES.map((key, k) => this.side(key, k));
    this.stage = make("div", { className: "stage sheet" }, ...this.sides.map(({ node }) => node));
    this.scales = make("p", { className: "scales", role: "status" });
    this.moved_words = make("p", { className: "note" });
    this.root = make(
      "div",
      { className: "scene thermal", keydown: (event) => this.player.key(event) },
      this.ready.node,
      this.player.node,
      this.stage,
      this.scales,
      this.moved_words,
      make("section", {}, make("h2", {}, "Highest reading and truth over time"), this.overTime.node),
      this.readings(),
      this.saving(),
    );
  }

  side(key, k) {
    const picture = new Picture();
    const hold = make("div", { className: "hold", tabIndex: 0, role: "application" }, picture.canvas);
    hold.setAttribute("aria-roledescription", "picture with cursors");
    hold.addEventListener("keydown", (event) => this.key(event, k));
    hold.addEventListener("pointerdown", (event) => this.grip(event, k));
    hold.addEventListener("pointermove", (event) => this.drag(event, k));
    for (const end of ["pointerup", "pointercancel"]) hold.addEventListener(end, () => (this.held = ""));
    const words = make("span", { className: "title" });
    const letter = make("span", { className: `letter ${key}` }, key.toUpperCase());
    const picks = Object.fromEntries(KINDS.map(([kind]) => [kind, this.pick(key, kind)]));
    const chosen = KINDS.map(([kind, label]) => {
      const whose = make("span", { className: "sr" }, ` of ${key.toUpperCase()}`);
      const text = make("label", { htmlFor: picks[kind].id }, label, whose);
      return make("div", { className: "pick" }, text, picks[kind]);
    });
    const top = make("div", { className: "picture-top" }, make("h2", {}, letter, " ", words), ...chosen);
    return { key, picture, hold, words, picks, node: make("div", { className: "needle" }, top, hold), film: null };
  }

  pick(key, kind) {
    const field = `${kind}_${key}`;
    const select = make("select", { id: field, change: () => this.choose(field, select.value) });
    return select;
  }

  readings() {
    const cells = ["A reads", "A, true", "B reads", "B, true"];
    const names = ["Point", "Line, highest", "Region, mean", "Region, highest", "Whole picture, highest"];
    this.cells = names.map(() => cells.map(() => make("td", { className: "value" })));
    const rows = names.map((name, i) => make("tr", {}, make("th", { scope: "row" }, name), ...this.cells[i]));
    const head = ["At the cursors, °C", ...cells].map((text) => make("th", { scope: "col" }, text));
    const table = make("table", {}, make("thead", {}, make("tr", {}, ...head)), make("tbody", {}, ...rows));
    const region = { className: "scroll", role: "region", tabIndex: 0, ariaLabel: "Readings at the cursors" };
    const scroll = make("div", region, table);
    const help = make("p", { className: "note" }, `Drag the point, or an end of the region. ${HELP}`);
    return make(
      "details",
      { className: "group" },
      make("summary", {}, "Readings at the cursors, and along the line"),
      ...[scroll, help, this.along.node],
    );
  }

  saving() {
    this.saved = make("span", { role: "status" });
    const say = (words) => (this.saved.textContent = words);
    this.saves = SIDES.map((key, k) =>
      filmButton(`Save ${key.toUpperCase()}'s film and truth (ZIP)`, () => this.data.zips[k], say));
    const inside = make("div", { className: "saving" }, ...this.saves, this.saved);
    return make("details", { className: "group" }, make("summary", {}, "Save the films with their truth"), inside);
  }

  // ---- from the server ----

  take(packet) {
    if (!packet?.byteLength) return;
    const first = !this.data;
    const data = decode(packet);
    if (data.rough && this.data && !this.data.rough && !this.model.waits?.includes("packet")) return;
    this.data = data;
    this.root.dataset.rough = String(data.rough);
    this.moved_words.textContent = data.moved;
    data.sides.forEach((side, k) => this.takeSide(this.sides[k], side));
    for (const button of this.saves) button.disabled = false;
    this.clock.fit(data.end);
    this.look();
    this.width = 0;
    this.fit();
    this.plot();
    if (!first) this.clock.go();
    else if (calm()) this.clock.seek(data.end);
    else this.clock.play(0);
  }

  takeSide(one, side) {
    one.words.textContent = side.title.split(",")[0];
    one.film = side.pictures ? new Film(side) : null;
    one.ranges = side.scales;
    if (one.film) one.picture.take(one.film);
    else one.picture.hold(side.held);
    const about = side.pictures ? `${side.setting}. ${HELP}` : side.held;
    one.hold.setAttribute("aria-label", `Needle ${one.key.toUpperCase()}: ${about}`);
    for (const [kind] of KINDS) {
      const said = this.data.said[`${kind}_a`];
      one.picks[kind].replaceChildren(...said.map(([value, words]) => make("option", { value }, words)));
    }
  }

  /** Take colours and cursors that the server has. */
  look() {
    const { looks } = this.model;
    if (!this.data || !looks.palettes) return;
    this.looks = { palettes: [...looks.palettes], scales: [...looks.scales] };
    this.cursors.take(looks.cursors[0]);
    this.ready.show(this.data.examples, looks.example, (words) => words || "Your own setting.");
    this.sides.forEach(({ picks }, k) => {
      picks.scale.value = this.looks.scales[k];
    });
    this.compare();
    this.stale();
  }

  /** Say whether equal colours are equal temperatures. */
  compare() {
    const [a, b] = this.sides.map(({ ranges }, k) => ranges[this.looks.scales[k]]);
    const middle = ([low, high]) => numberText(Math.round((low + high) / 2));
    const palettes = this.looks.palettes[0] === this.looks.palettes[1];
    const one = a.join() === b.join();
    this.scales.classList.toggle("differ", !one || !palettes);
    const means = `the middle colour means ${middle(a)} °C in A, ${middle(b)} °C in B`;
    this.scales.textContent = !one
      ? `⚠ Two scales: ${means}. Compare numbers, not colours.`
      : palettes
        ? "One scale: equal colours are equal temperatures."
        : "⚠ Two palettes: equal temperatures have different colours.";
  }

  // ---- sizes and painting ----

  fit() {
    const room = Math.floor(this.stage.clientWidth);
    if (!this.data || !room || room === this.width) return;
    this.width = room;
    const shapes = this.sides.map(({ film }) => (film ? [film.rows, film.columns] : [0, 0]));
    const shape = [0, 1].map((i) => Math.max(shapes[0][i], shapes[1][i]) || [19, 94][i]);
    for (const { picture } of this.sides) picture.fit(room, shape);
    this.stage.classList.add("has-film");
    this.stale();
  }

  stale() {
    this.painted = "";
    this.clock.go();
  }

  moved() {
    this.stale();
    if (this.cursors.now) this.player.say(`${this.clock.time.toFixed(1)} seconds`, this.sentence());
  }

  paint() {
    const { clock, player, data } = this;
    if (!data || !this.width || !this.looks || !this.cursors.now) return;
    player.show();
    this.overTime.cursor(clock.time);
    const indices = this.sides.map(({ film }) => (film ? film.at(clock.time) : -1));
    const now = indices.join();
    if (now === this.painted) {
      if (!clock.running && this.spoken !== clock.time) this.speak();
      return;
    }
    this.painted = now;
    this.sides.forEach(({ picture, ranges }, k) => {
      const palette = data.palettes[this.looks.palettes[k]];
      picture.paint(indices[k], this.cursors.now, ranges[this.looks.scales[k]], palette);
    });
    this.tabulate(indices);
    this.profile(indices);
    if (!clock.running) this.speak();
  }

  speak() {
    this.spoken = this.clock.time;
    this.player.say(`${this.clock.time.toFixed(1)} seconds`, this.sentence());
  }

  tabulate(indices) {
    const { point, height, near, far } = this.cursors.now;
    this.found = this.sides.map(({ film }, k) => {
      if (!film) return null;
      const i = indices[k];
      const { row, column } = film.pixelOf(point, height);
      const line = film.line(i, height);
      const region = film.region(i, near, far);
      const most = (list) => list.reduce((m, v) => (v > m || m !== m ? v : m), NaN);
      return [
        [film.reading(i, row, column), film.truth(i, point, height)],
        [most(line.seen), most(line.true)],
        [region.mean, region.trueMean],
        [region.max, NaN],
        [film.hottest(i).value, NaN],
      ];
    });
    this.cells.forEach((row, i) => row.forEach((cell, j) => {
      const side = this.found[j >> 1];
      cell.textContent = side ? tenth(side[i][j & 1]) : "–";
    }));
  }

  sentence() {
    const said = this.sides.map(({ key }, k) => {
      const found = this.found?.[k];
      if (!found) return `${key.toUpperCase()} is not drawn`;
      const [[point, truth], , [mean], , [top]] = found;
      const spot = `point ${tenth(point)}, true ${tenth(truth)}`;
      return `${key.toUpperCase()}: ${spot}; region ${tenth(mean)}; highest ${tenth(top)} °C`;
    });
    return `${this.clock.time.toFixed(1)} seconds. ${said.join(". ")}.`;
  }

  // ---- charts ----

  plot() {
    /** @type {any} */
    const lines = {};
    for (const { key, film } of this.sides) {
      if (!film) continue;
      const { x, seen, low, high, true: truth } = film.curves;
      lines[`${key}_bar`] = { x, low, high };
      lines[`${key}_seen`] = { x, y: seen };
      lines[`${key}_true`] = { x, y: truth };
    }
    const most = (list) => tenth(Math.max(...list));
    const words = this.sides.filter(({ film }) => film).map(({ key, film: { curves } }) =>
      `${key.toUpperCase()} reads up to ${most(curves.seen)} °C; true are ${most(curves.true)} °C.`);
    this.overTime.show({ lines, x: [0, this.data.end], words: words.join(" ") });
  }

  profile(indices) {
    /** @type {any} */
    const lines = {};
    let [low, high] = [Infinity, -Infinity];
    let [from, to] = [Infinity, -Infinity];
    this.sides.forEach(({ key, film, ranges }, k) => {
      if (!film) return;
      const { x, seen, true: truth } = film.line(indices[k], this.cursors.now.height);
      lines[`${key}_seen`] = { x, y: seen };
      lines[`${key}_true`] = { x, y: truth };
      [low, high] = [Math.min(low, ranges.own[0]), Math.max(high, ranges.own[1])];
      [from, to] = [Math.min(from, x[0]), Math.max(to, x.at(-1))];
    });
    if (low > high) return;
    const words = "Reading of each pixel on the line, and the truth there.";
    const data = { lines, x: [from, to], y: [low, high], words };
    if (this.clock.running && this.along.figure) this.along.animate(data);
    else this.along.show(data);
    this.along.cursor(this.cursors.now.point);
  }

  // ---- what a person does ----

  key(event, k) {
    const { film } = this.sides[k];
    if (film && this.cursors.now) this.cursors.key(event, film.pixel);
  }

  grip(event, k) {
    const { film, picture, hold } = this.sides[k];
    if (!film) return;
    const box = hold.getBoundingClientRect();
    if (event.clientY - box.top > picture.high) return;
    this.held = picture.grip(event.clientX - box.left, this.cursors.now);
    hold.setPointerCapture?.(event.pointerId);
    this.drag(event, k);
  }

  drag(event, k) {
    const { film, picture, hold } = this.sides[k];
    if (!film || !this.held) return;
    const box = hold.getBoundingClientRect();
    const { x, y } = picture.find(event.clientX - box.left, event.clientY - box.top);
    this.cursors.set(this.held === "point" ? { point: x, height: y } : { [this.held]: x });
  }

  choose(field, value) {
    const [kind, key] = field.split("_");
    this.looks[`${kind}s`][SIDES.indexOf(key)] = value;
    this.compare();
    this.stale();
    this.change("both", field, value);
  }

  change(side, field, value) {
    this.send([{ field, value }], side);
  }

  send(changes, side = "both") {
    this.gesture += 1;
    this.model.send_msg({ changes: changes.map((one) => ({ side, gesture: `thermal-${this.gesture}`, ...one })) });
  }

  remove() {
    this.clock.remove();
    this.sizes.disconnect();
    this.endTheme();
    for (const chart of [this.overTime, this.along]) chart.remove();
  }
}

export function render({ model }) {
  const scene = new Scene(model);
  scene.take(model.preview);
  scene.take(model.packet);
  model.on("preview", () => scene.take(model.preview));
  model.on("packet", () => scene.take(model.packet));
  model.on("looks", () => scene.look());
  model.on("remove", () => scene.remove());
  return scene.root;
}
