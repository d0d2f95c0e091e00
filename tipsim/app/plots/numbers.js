// Numbers in words.

/** Micrometres with one digit, or none from 100 up. */
export function micro(value) {
  return value.toFixed(Math.abs(value) < 99.95 ? 1 : 0);
}
