// The film: examples to start from, player, slices of the pictures over time, tracks, saving.

import { Chart } from "../../framework/chart.js";
import { Clock, Player, calm } from "../../framework/clock.js";
import { make } from "../../framework/make.js";
import { tell } from "../../framework/messenger.js";
import { numberText } from "../../framework/numbers.js";
import { decode } from "../../framework/packet.js";
import { filmButton } from "../../framework/save.js";
import { Ready } from "../../framework/ready.js";
import { Picture } from "./picture.js";
import { savePictures, saveTrack } from "./save.js";
import { paintStrip } from "./strip.js";

/** @type {[number, string][]} */
const SPEEDS = [1, 3, 6, 15, 30].map((n) => [n, n > 1 ? `${n} pictures a second` : "1 picture a second"]);
const SLACK = 1e-3; // of a picture: the film's end lies just within its last one
const WAITING = "The film is being rendered; curves and numbers are a preview.";

/** What is drawn of a mark over time: [lowest, highest] [µm], with room for the slices. */
function reach({ seen }, truth, k, dot) {
  const most = (list) => (list ?? []).reduce((high, v) => Math.max(high, Math.abs(v) || 0), 0);
  const far = Math.max(...[seen, truth.true[k], truth.middle?.[k]].map(most)) + 1.35 * dot;
  return [-far, far];
}

class Film {
  constructor(model) {
    this.model = model;
    this.chosen = 1;
    this.clock = new Clock(() => this.paint(), { rate: 6, round: true });
    this.player = new Player(this.clock, {
      calm: true,
      step: 1,
      fine: 1,
      label: "Picture",
      steps: ["One picture back", "One picture on"],
      speeds: SPEEDS,
      format: () => "",
    });
    this.ready = new Ready("Examples to start from", (id) => this.send(id));
    this.picture = new Picture();
    const seek = (us) => this.seek(us);
    this.track = new Chart("camera.track", { seek, moved: () => this.paintSlices() });
    this.marks = new Chart("camera.marks", { seek });
    this.slices = make("canvas", { className: "slices" });
    this.track.picture.prepend(this.slices);
    this.root = make(
      "div",
      { className: "scene", keydown: (event) => this.player.key(event) },
      this.ready.node,
      this.screen(),
      this.player.node,
      this.overTime(),
      make("section", {}, make("h2", {}, "All marks, on one scale"), this.marks.node),
      this.saving(),
    );
    this.sizes = new ResizeObserver(() => this.fit());
    this.sizes.observe(this.root);
    this.clock.watch(this.root);
  }

  // ---- parts, built once ----

  screen() {
    this.title = make("p");
    this.reading = make("p", { className: "reading" });
    this.waiting = make("p", { className: "waiting", role: "status" });
    const caption = make("figcaption", {}, this.title, this.reading);
    return make("figure", { className: "screen sheet" }, caption, this.picture.canvas, this.waiting);
  }

  overTime() {
    this.pickMark = make("select", { id: "mark", change: () => this.choose(Number(this.pickMark.value)) });
    this.pickSpan = make("select", { id: "span", change: () => this.plot() });
    const spans = ["whole film", "first four pictures"];
    this.pickSpan.append(...spans.map((words, value) => make("option", { value }, words)));
    const pick = (label, select) =>
      make("div", { className: "pick" }, make("label", { htmlFor: select.id }, label), select);
    return make(
      "section",
      {},
      make(
        "div",
        { className: "top" },
        make("h2", {}, "Slices of the film, side by side"),
        pick("Mark", this.pickMark),
        pick("over", this.pickSpan),
      ),
      this.track.node,
    );
  }

  saving() {
    this.saved = make("span", { role: "status" });
    const save = (label, act) =>
      make("button", { type: "button", click: async () => {
        await act(this.film);
        this.saved.textContent = "Saved; the file says that it is model data.";
      } }, label);
    const say = (words) => (this.saved.textContent = words);
    this.saves = [
      filmButton("Save film and truth (ZIP)", () => this.film.zip, say),
      save("Save pictures (PNG)", savePictures),
      save("Save track (CSV)", saveTrack),
    ];
    this.toBench = make("a", {}, "Change the needles");
    return make("div", { className: "saving" }, ...this.saves, this.toBench, this.saved);
  }

  // ---- a new film, or what to expect of it ----

  take() {
    if (!this.model.packet?.byteLength) return;
    const data = decode(this.model.packet);
    const first = !this.film;
    this.data = data;
    if (!data.marks.some(({ number }) => number === this.chosen)) this.chosen = data.marks[0]?.number ?? 0;
    this.toBench.href = data.bench ? `./compare?${data.bench}` : "./compare";
    this.saved.textContent = "";
    this.waiting.textContent = data.pictures ? "" : WAITING;
    this.root.classList.toggle("ahead", !data.pictures);
    for (const button of this.saves) button.disabled = !data.pictures;
    const own = "your own setting";
    this.ready.show(data.examples, data.example, (words) => `${data.settings}: ${words || own}.`);
    this.showMarks();
    if (data.pictures) {
      this.film = data;
      this.picture.take(data);
      const letter = make("span", { className: `letter ${data.side}` }, data.side.toUpperCase());
      this.title.replaceChildren(letter, ` ${data.title.split(",")[0]}`);
      this.clock.fit(data.shape[0] - SLACK);
      if (first && !calm()) this.clock.play(0);
    }
    this.fit();
    this.plot();
    this.clock.go();
  }

  showMarks() {
    const { marks } = this.data;
    this.pickMark.replaceChildren(...marks.map(({ number, name }) => make("option", { value: number }, name)));
    this.pickMark.value = this.chosen;
    this.pickMark.disabled = !marks.length;
  }

  plot() {
    const { data } = this;
    const { marks, times, pictures } = data;
    const k = marks.findIndex(({ number }) => number === this.chosen);
    const truth = data.spans[this.pickSpan.selectedIndex];
    const x = [0, truth.time.at(-1)];
    const seen = pictures ? "Film" : "Preview";
    const lines = marks.map(({ number, seen: y }) => [number, { x: times, y, label: `Marker ${number}, ${seen}` }]);
    this.marks.show({ lines: Object.fromEntries(lines), x, words: marks.map((mark) => mark.words).join(" ") });
    this.track.node.hidden = k < 0;
    if (k < 0) return;
    const mark = marks[k];
    const far = truth.true[k];
    const curve = (name) => truth[name] && !truth.cycles && { x: truth.time, y: truth[name][k] };
    const band = truth.cycles && {
      x: truth.time,
      low: far.map((v) => -v),
      high: far,
      label: `True, ${truth.cycles} cycles`,
    };
    const all = {
      band,
      middle: curve("middle"),
      true: curve("true"),
      seen: { x: times, y: mark.seen, label: seen, short: seen.toLowerCase() },
    };
    this.track.show({
      lines: Object.fromEntries(Object.entries(all).filter(([, line]) => line)),
      dots: Array.from(times, (us, i) => ({ x: us, y: mark.seen[i], side: "--cam-seen" })).filter(({ y }) => y === y),
      x,
      y: reach(mark, truth, k, data.dot),
      words: `${mark.words} The table holds the places.`,
    });
  }

  // ---- sizes and painting ----

  fit() {
    this.picture.fit(this.root.clientWidth - 2, this.film ?? this.data);
    this.index = null;
    this.paint();
  }

  paintSlices() {
    const mark = this.data.marks.find(({ number }) => number === this.chosen);
    this.slices.hidden = !this.data.pictures || !mark || !this.track.box();
    if (!this.slices.hidden) paintStrip(this.slices, this.data, mark, this.track);
  }

  paint() {
    const { film, clock, player } = this;
    if (!film) return;
    const index = Math.floor(clock.time);
    const news = index !== this.index;
    this.index = index;
    player.show();
    if (!news) return;
    this.picture.paint(index, this.chosen);
    const us = film.times[index];
    const slower = numberText(Number((film.rate / clock.rate).toPrecision(2)));
    this.reading.textContent =
      `Picture ${index + 1} of ${film.shape[0]}, ${numberText(us, 4)} µs; ${slower} times slower`;
    for (const chart of [this.track, this.marks]) chart.cursor(us);
    if (!clock.running) player.say(player.how.format(0), this.reading.textContent);
  }

  // ---- what a person does ----

  send(example) {
    tell(this.model, { changes: [{ side: "both", field: "example", value: example }] });
  }

  seek(us) {
    const { times, rate } = this.data;
    this.player.seek(Math.round(((us - times[0]) * rate) / 1e6));
  }

  choose(number) {
    this.chosen = number;
    this.plot();
    this.fit();
  }

  remove() {
    this.clock.remove();
    this.sizes.disconnect();
    for (const chart of [this.track, this.marks]) chart.remove();
  }
}

export function render({ model }) {
  const film = new Film(model);
  film.take();
  model.on("packet", () => film.take());
  model.on("remove", () => film.remove());
  return film.root;
}
