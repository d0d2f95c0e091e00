// The browser's own clock over a run or a cycle, and the bar that plays it.

import { make } from "./make.js";

const LONGEST_STEP_S = 0.1; // after a hidden tab time goes on, it does not jump
const SAY_MS = 400;

/** Whether this person asks for less motion. */
export const calm = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

/**
 * Time that runs from 0 to `end`, or round and round.
 *
 * `tick(seconds)` paints; seconds are those of the run that have gone by, 0 where only a place
 * was chosen. It gives whether there is more to move while time itself stands still.
 */
export class Clock {
  /** @param {(seconds: number) => boolean | void} tick */
  constructor(tick, { end = 0, rate = 1, round = false, pace = (/** @type {number} */ _time) => 1 } = {}) {
    this.tick = tick;
    this.pace = pace; // by which a place slows the run down

    this.end = end;
    this.rate = rate;
    this.round = round;
    this.until = end;
    this.time = 0;
    this.running = false;
    this.inSight = true;
    this.shown = () => this.go();
    document.addEventListener("visibilitychange", this.shown);
  }

  /** Run from a time to a time; from here to the end if none is given. */
  play(from = this.time, until = this.end) {
    Object.assign(this, { time: from, until, running: this.round || from < until });
    this.go();
  }

  pause() {
    this.running = false;
    this.tick(0);
  }

  /** Stand still at a time. */
  seek(time) {
    this.time = Math.min(this.end, Math.max(0, time));
    this.pause();
  }

  /** Take another length. */
  fit(end) {
    Object.assign(this, { end, time: Math.min(this.time, end), until: Math.min(this.until, end) });
    if (!this.running) this.until = end;
  }

  /** Paint as long as there is something to move. */
  go() {
    if (this.frame || !this.inSight || document.hidden) return;
    let last = null;
    const each = (now) => {
      this.frame = 0;
      if (!this.inSight || document.hidden) return;
      const seconds = last === null ? 0 : Math.min((now - last) / 1000, LONGEST_STEP_S) * this.rate;
      last = now;
      if (this.running) this.advance(seconds);
      const more = this.tick(seconds);
      if (this.running || more) this.frame = requestAnimationFrame(each);
    };
    this.frame = requestAnimationFrame(each);
  }

  advance(seconds) {
    this.time += seconds * this.pace(this.time);
    if (this.round) this.time %= this.end;
    else if (this.time >= this.until) Object.assign(this, { time: this.until, running: false });
  }

  /** Run only while a node is in sight. */
  watch(node) {
    new IntersectionObserver(([entry]) => {
      this.inSight = entry.isIntersecting;
      this.go();
    }).observe(node);
  }

  remove() {
    cancelAnimationFrame(this.frame);
    document.removeEventListener("visibilitychange", this.shown);
    this.inSight = false;
  }
}

const folded = (words, ...parts) =>
  make("details", { className: "pace" }, make("summary", {}, words), make("div", { className: "inside" }, ...parts));

/**
 * The bar of a clock: play, one step back and on, place, reading, speed; and its keys: blank, comma
 * and full stop.
 */
export class Player {
  /**
   * @param {Clock} clock
   * @param {{step: number, steps: [string, string], speeds: [number, string][], label?: string,
   *   fine?: number, calm?: boolean, format: (time: number) => string, name?: () => string, start?: () => void}} how
   *   size of a step and names of both ways; rates with their words; label of the slider and its
   *   step; whether speed and steps lie behind a click; a time in words; name of the button that
   *   plays; what it does.
   */
  constructor(clock, how) {
    this.clock = clock;
    this.how = how;
    this.stopped = false;
    const button = (className, label, act, sign) =>
      make("button", { type: "button", className, ariaLabel: label, title: label, click: act }, sign);
    this.play = make("button", { type: "button", className: "play", click: () => this.toggle() }, "Play");
    this.slider = make("input", { type: "range", id: "moment", min: 0, max: 1, step: how.fine ?? "any", value: 0 });
    this.slider.addEventListener("input", () => this.seek(Number(this.slider.value)));
    this.reading = make("span", { className: "reading" });
    this.speed = make("select", { id: "speed", change: () => (clock.rate = Number(this.speed.value)) });
    this.speed.append(...how.speeds.map(([rate, words]) => make("option", { value: rate }, words)));
    this.speed.value = clock.rate;
    this.status = make("p", { className: "sr" });
    this.status.setAttribute("role", "status");
    const steps = [
      button("step", how.steps[0], () => this.move(-1), "◀"),
      button("step", how.steps[1], () => this.move(1), "▶"),
    ];
    const pace = make("div", { className: "pick" }, make("label", { htmlFor: "speed" }, "Speed"), this.speed);
    this.node = make(
      "div",
      { className: "bar" },
      this.play,
      ...(how.calm ? [] : steps),
      make("label", { className: "range" }, make("span", {}, how.label ?? "Time"), this.slider),
      this.reading,
      how.calm ? folded("Speed, steps", pace, ...steps) : pace,
      this.status,
    );
  }

  get atEnd() {
    return this.clock.time > this.clock.end - (this.how.fine ?? 0) - 1e-6;
  }

  toggle() {
    const { clock } = this;
    this.stopped = clock.running;
    if (clock.running) clock.pause();
    else if (this.how.start) this.how.start();
    else clock.play(this.atEnd && !clock.round ? 0 : clock.time);
  }

  move(way) {
    this.seek(this.clock.time + way * this.how.step);
  }

  seek(time) {
    this.stopped = true;
    this.clock.seek(time);
  }

  /** Show where the clock stands. */
  show() {
    const { clock, how } = this;
    this.slider.max = clock.end;
    this.slider.value = clock.time;
    this.reading.textContent = how.format(clock.time);
    this.play.textContent = clock.running ? "Pause" : (how.name?.() ?? "Play");
  }

  /** Say where it stands, once it has stood there for a moment. */
  say(short, long) {
    this.slider.setAttribute("aria-valuetext", short);
    clearTimeout(this.saying);
    this.saying = setTimeout(() => (this.status.textContent = long), SAY_MS);
  }

  /** Keys anywhere in the scene, but where something is typed or chosen. */
  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const typing = event.composedPath()[0].closest?.("input, select, button, summary, .scroll");
    if (event.key === " " && !typing) this.toggle();
    else if (event.key === ",") this.move(-1);
    else if (event.key === ".") this.move(1);
    else return;
    event.preventDefault();
  }
}
