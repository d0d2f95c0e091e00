// From the server's packet to two runs, and what a run is at a moment.

const NEAR_S = 0.006; // a step of the slider

/** Decode `packet` of packet.py: head, with the curves of each side as {time, chamber, …}. */
export function decodeFlow(data) {
  const bytes = data instanceof ArrayBuffer ? new Uint8Array(data) : data;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const length = view.getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + length)));
  // A copy, as float32 must begin at a multiple of four bytes.
  const numbers = new Float32Array(bytes.slice(4 + length).buffer);
  let at = 0;
  for (const side of head.sides) {
    side.curves = {};
    for (const name of head.columns) {
      side.curves[name] = numbers.subarray(at, at + side.n);
      at += side.n;
    }
  }
  head.end = Math.max(...head.sides.map(({ curves, n }) => curves.time[n - 1]));
  return head;
}

/** All curves of a side at a time, between its points; the last ones beyond its end. */
export function atTime(side, time) {
  const { time: t } = side.curves;
  let low = 0;
  let high = side.n - 1;
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
export const flowText = (value) => (Math.abs(value) >= 9.95 ? whole(value) : (Math.round(value * 10) / 10 + 0).toFixed(1));
