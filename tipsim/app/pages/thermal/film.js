// One film as the packet brings it: readings of pixels, and the truth behind any place. Pure.

const ZERO = 273.15;
const FINE = 4; // places in a pixel, each way, over which the truth of a region is averaged

/** Where a value lies in a rising list: the last index whose value is not above it; -1 before the first. */
export function placeOf(list, value) {
  let [low, high] = [-1, list.length - 1];
  while (low < high) {
    const k = (low + high + 1) >> 1;
    if (list[k] <= value + 1e-9) low = k;
    else high = k - 1;
  }
  return low;
}

export class Film {
  constructor(side) {
    this.rows = side.shape[1];
    this.columns = side.shape[2];
    this.times = side.times;
    this.pixel = side.pixel; // mm, as all lengths
    this.x0 = side.x0;
    this.y0 = side.y0;
    this.pictures = side.pictures; // hundredths of a kelvin
    this.warm = side.warm; // the true surface, by picture, slice and sector
    this.edges = side.edges;
    this.radius = side.radius;
    this.angles = side.angles;
    this.seenFrom = side.side;
    this.curves = side.curves;
    this.reach = side.radius.reduce((most, r) => Math.max(most, r), 0);
  }

  /** The picture that is shown at a time [s]. */
  at(time) {
    return Math.max(0, placeOf(this.times, time));
  }

  x(column) {
    return this.x0 + column * this.pixel;
  }

  y(row) {
    return this.y0 + row * this.pixel;
  }

  /** The pixel that holds a place [mm], kept inside the picture. */
  pixelOf(x, y) {
    const within = (k, most) => Math.min(most - 1, Math.max(0, Math.round(k)));
    return {
      column: within((x - this.x0) / this.pixel, this.columns),
      row: within((y - this.y0) / this.pixel, this.rows),
    };
  }

  /** What the program reads in a pixel [°C]. */
  reading(picture, row, column) {
    return this.pictures[(picture * this.rows + row) * this.columns + column] / 100 - ZERO;
  }

  /** What is true on the side that is seen [°C]; NaN beside the needle. */
  truth(picture, x, y) {
    const slice = placeOf(this.edges, x);
    const { radius, angles } = this;
    if (slice < 0 || slice >= radius.length || Math.abs(y) >= radius[slice]) return NaN;
    const from = (picture * radius.length + slice) * angles;
    const value = (k) => this.truthOf(from + k);
    if (angles === 1) return value(0);
    const turn = 2 * Math.PI;
    const angle = this.seenFrom + Math.asin(y / radius[slice]);
    const folded = Math.abs((((angle + Math.PI) % turn) + turn) % turn - Math.PI);
    const place = (folded / Math.PI) * (angles - 1);
    const left = Math.min(angles - 2, Math.floor(place));
    return value(left) + (place - left) * (value(left + 1) - value(left));
  }

  truthOf(index) {
    return this.warm[index] / 100 - ZERO;
  }

  /** The hottest pixel of a picture. */
  hottest(picture) {
    const size = this.rows * this.columns;
    const from = picture * size;
    let best = from;
    for (let i = from; i < from + size; i++) if (this.pictures[i] > this.pictures[best]) best = i;
    const [row, column] = [Math.floor((best - from) / this.columns), (best - from) % this.columns];
    return { row, column, value: this.reading(picture, row, column) };
  }

  /** Readings and truth along the needle at a height [mm]. */
  line(picture, height) {
    const { row } = this.pixelOf(0, height);
    const columns = Array.from({ length: this.columns }, (_, k) => k);
    return {
      x: columns.map((k) => this.x(k)),
      seen: columns.map((k) => this.reading(picture, row, k)),
      true: columns.map((k) => this.truth(picture, this.x(k), height)),
    };
  }

  /** Mean and maximum of the region, read and true: the middle half of the needle's width. */
  region(picture, near, far) {
    const half = this.reach / 2;
    let [sum, count, max, trueSum, trueCount] = [0, 0, -Infinity, 0, 0];
    for (let row = 0; row < this.rows; row++) {
      if (Math.abs(this.y(row)) > half) continue;
      for (let column = 0; column < this.columns; column++) {
        const x = this.x(column);
        if (x < near || x > far) continue;
        const value = this.reading(picture, row, column);
        [sum, count, max] = [sum + value, count + 1, Math.max(max, value)];
      }
    }
    const steps = Math.max(1, Math.round(((far - near) / this.pixel) * FINE));
    for (let i = 0; i < steps; i++) {
      const x = near + ((i + 0.5) / steps) * (far - near);
      for (let j = 0; j < 2 * FINE; j++) {
        const value = this.truth(picture, x, half * ((j + 0.5) / FINE - 1));
        if (value === value) [trueSum, trueCount] = [trueSum + value, trueCount + 1];
      }
    }
    return { mean: sum / count, max, trueMean: trueSum / trueCount };
  }
}
