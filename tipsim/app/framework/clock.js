// The browser's own clock over a run, slower than life; it waits where a person must act.

const LONGEST_STEP_S = 0.1; // after a hidden tab the run goes on, it does not jump

export class Clock {
  constructor(tick) {
    this.tick = tick;
    this.time = 0;
    this.slower = 5;
    this.until = 0;
    this.running = false;
    this.inSight = true;
  }

  /** Run from a time to a time. */
  play(from, until) {
    this.time = from;
    this.until = until;
    this.running = from < until;
    this.go();
  }

  stop() {
    this.running = false;
    this.tick(0);
  }

  /** Ask for pictures as long as there is something to move: time, or water that flows. */
  go() {
    if (this.frame || !this.inSight) return;
    let last = null;
    const each = (now) => {
      this.frame = 0;
      if (!this.inSight) return;
      const seconds = last === null ? 0 : Math.min((now - last) / 1000, LONGEST_STEP_S) / this.slower;
      last = now;
      if (this.running) {
        this.time = Math.min(this.until, this.time + seconds);
        if (this.time >= this.until) this.running = false;
      }
      if (this.tick(seconds)) this.frame = requestAnimationFrame(each);
    };
    this.frame = requestAnimationFrame(each);
  }

  remove() {
    cancelAnimationFrame(this.frame);
    this.inSight = false;
  }
}
