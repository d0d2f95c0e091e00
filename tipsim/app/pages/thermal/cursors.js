// Point, line and region, shared by both pictures: moved by pointer or keys, and sent when they rest.

const REST_MS = 350;
const LEAST = 0.2; // mm between the ends of the region
const LIMITS = { point: [-2, 40], height: [-3, 3], near: [-2, 39.8], far: [-1.8, 40] };

const round = (value) => Math.round(value * 100) / 100;

export class Cursors {
  /** @param {() => void} moved @param {(changes: {field: string, value: number}[]) => void} send */
  constructor(moved, send) {
    this.moved = moved;
    this.send = send;
    /** @type {Record<string, number> | null} */
    this.now = null;
    this.sent = null;
    this.resting = 0;
  }

  take(cursors) {
    if (this.resting) return; // what is being moved goes before what comes from the server
    this.now = { ...cursors };
    this.sent = { ...cursors };
  }

  set(values) {
    const next = { ...this.now, ...values };
    for (const [name, [low, high]] of Object.entries(LIMITS)) {
      next[name] = round(Math.min(high, Math.max(low, next[name])));
    }
    if (next.far - next.near < LEAST) {
      if ("near" in values) next.near = round(next.far - LEAST);
      else next.far = round(next.near + LEAST);
    }
    this.now = next;
    this.moved();
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.rest(), REST_MS);
  }

  rest() {
    this.resting = 0;
    const names = Object.keys(LIMITS).filter((name) => this.now[name] !== this.sent[name]);
    // A region that moves must not be turned inside out on the way.
    if (this.now.near > this.sent.near) names.sort((a, b) => Number(b === "far") - Number(a === "far"));
    this.sent = { ...this.now };
    if (names.length) this.send(names.map((name) => ({ field: `thermal_camera.${name}_mm`, value: this.now[name] })));
  }

  /** Move by keys: arrows the point, with Shift the region and its length. @param {KeyboardEvent} event */
  key(event, step) {
    const ways = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const way = ways[event.key];
    if (!way || event.ctrlKey || event.metaKey || event.altKey) return false;
    const [along, up] = way.map((k) => k * step);
    const { point, height, near, far } = this.now;
    if (!event.shiftKey) this.set(along ? { point: point + along } : { height: height + up });
    else if (along) this.set({ near: near + along, far: far + along });
    else this.set({ far: far + up });
    event.preventDefault();
    return true;
  }
}
