// Numbers and times as text.

/** A number with three figures, and no needless zeros. */
export function short(value) {
  return Number(value.toPrecision(3)).toString().replace("-", "−");
}

/** Microseconds in the unit that reads best. */
export function timeText(us) {
  if (us >= 10_000) return `${short(us / 1000)} ms`;
  if (us >= 1000) return `${(us / 1000).toFixed(2)} ms`;
  return `${us.toFixed(us < 100 ? 1 : 0)} µs`;
}
