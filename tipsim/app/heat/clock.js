// The browser's own clock over the bench's time: play, pause, step, place, speed.

import { make } from "../framework/make.js";

const LONGEST_STEP_S = 0.1;
const SAY_MS = 400;
const CALM = window.matchMedia("(prefers-reduced-motion: reduce)");
const SPEEDS = [1, 2, 5, 10];

export class Clock {
  constructor(paint) {
    this.paint = paint;
    this.time = 0;
    this.duration = 60;
    this.speed = 5;
    this.playing = !CALM.matches;
    this.build();
    document.addEventListener("visibilitychange", () => this.run());
  }

  build() {
    this.button = make("button", { type: "button", className: "play", click: () => this.toggle() });
    const step = (way, label, text) => {
      const node = make("button", { type: "button", className: "step", click: () => this.step(way) }, text);
      node.setAttribute("aria-label", label);
      return node;
    };
    this.slider = make("input", { type: "range", id: "time", min: 0, max: 60, step: 0.1, value: 0 });
    this.slider.setAttribute("aria-label", "Time");
    this.slider.addEventListener("input", () => this.seek(Number(this.slider.value)));
    this.select = make("select", { id: "speed", change: () => (this.speed = Number(this.select.value)) });
    for (const speed of SPEEDS)
      this.select.append(make("option", { value: speed }, speed === 1 ? "as it runs" : `${speed} times as fast`));
    this.select.value = this.speed;
    this.words = make("output", { className: "clock" });
    this.status = make("p", { className: "sr" });
    this.status.setAttribute("role", "status");
    this.node = make(
      "div",
      { className: "clock-bar" },
      this.button,
      step(-1, "Half a second back", "−"),
      step(1, "Half a second on", "+"),
      this.slider,
      this.words,
      make("label", { className: "sr", htmlFor: "speed" }, "Speed"),
      this.select,
      this.status,
    );
  }

  take(duration) {
    this.duration = duration;
    this.slider.max = duration;
    this.time = Math.min(this.time, duration);
    this.run();
  }

  /** Say something once it stands still. */
  say(sentence) {
    clearTimeout(this.saying);
    this.saying = setTimeout(() => (this.status.textContent = sentence()), SAY_MS);
  }

  restart() {
    this.time = 0;
    this.playing = !CALM.matches;
  }

  toggle() {
    this.playing = !this.playing;
    if (this.playing && this.time >= this.duration) this.time = 0;
    this.run();
    this.paint();
  }

  step(way) {
    this.seek(Math.round((this.time + 0.5 * way) * 10) / 10);
  }

  seek(time) {
    this.playing = false;
    this.time = Math.min(this.duration, Math.max(0, time));
    this.run();
    this.paint();
  }

  show() {
    this.words.textContent = `${this.time.toFixed(1)} s of ${Number(this.duration.toFixed(1))} s`;
    this.slider.value = this.time;
    this.slider.setAttribute("aria-valuetext", `${this.time.toFixed(1)} seconds`);
  }

  run() {
    this.button.textContent = this.playing ? "Pause" : "Play";
    if (!this.playing || document.hidden || this.frame) return;
    let last = null;
    const tick = (now) => {
      this.frame = 0;
      if (!this.playing || document.hidden) return;
      if (last !== null) this.time += Math.min((now - last) / 1000, LONGEST_STEP_S) * this.speed;
      last = now;
      if (this.time >= this.duration) {
        this.time = this.duration;
        this.playing = false;
        this.button.textContent = "Play";
      }
      this.paint();
      if (this.playing) this.frame = requestAnimationFrame(tick);
    };
    this.frame = requestAnimationFrame(tick);
  }

  remove() {
    cancelAnimationFrame(this.frame);
    this.playing = false;
  }
}
