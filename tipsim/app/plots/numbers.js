// Numbers in words.

/** A number as short as it can be read. */
export function short(value) {
  const size = Math.abs(value);
  if (size >= 100 || size === 0) return value.toFixed(0);
  return Number(value.toPrecision(3)).toString();
}

/** Micrometres with one digit, or none from 100 up. */
export function micro(value) {
  return value.toFixed(Math.abs(value) < 99.95 ? 1 : 0);
}
