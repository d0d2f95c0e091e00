// What a run is at a moment, and its numbers as text.

const NEAR_S = 0.006; // a step of the slider

/** All curves of a side at a time, between its points; the last ones beyond its end. */
export function atTime(side, time) {
  const { time: t } = side.curves;
  let low = 0;
  let high = t.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (t[middle] <= time) low = middle;
    else high = middle;
  }
  const span = t[high] - t[low];
  const share = span > 0 ? Math.min(1, Math.max(0, (time - t[low]) / span)) : 1;
  const out = { over: side.flat !== null && time > side.flat - NEAR_S };
  for (const [name, curve] of Object.entries(side.curves)) {
    out[name] = curve[low] * (1 - share) + curve[high] * share;
  }
  return out;
}

/** A pressure in whole mmHg, a flow in mL/min to a tenth below 10; never a minus zero. */
export const whole = (value) => String(Math.round(value) + 0);
export const flowText = (value) => {
  if (Math.abs(value) >= 9.95) return whole(value);
  return (Math.round(value * 10) / 10 + 0).toFixed(1);
};
