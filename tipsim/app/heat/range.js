// The range of a chart of temperatures.

/**
 * Return the range of the colours, and more where a line goes beyond it.
 * @param {{ low: number, high: number }} scale
 * @param {Iterable<number>} values
 */
export function rangeOf(scale, values) {
  const low = Math.min(scale.low, ...values);
  const high = Math.max(scale.high, ...values);
  return [
    low < scale.low ? Math.floor(low / 5) * 5 : scale.low,
    high > scale.high ? Math.ceil(high / 10) * 10 : scale.high,
  ];
}
