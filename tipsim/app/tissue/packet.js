// From the server's packet to both irises, and what they are at a moment.

/** Decode `packet` of packet.py: the head, with each side's gaps [mm] and work so far [mJ]. */
export function decodeIris(data) {
  const bytes = data instanceof ArrayBuffer ? new Uint8Array(data) : data;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const length = view.getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + length)));
  // A copy, as float32 must begin at a multiple of four bytes.
  const numbers = new Float32Array(bytes.slice(4 + length).buffer);
  head.sides.forEach((side, k) => {
    side.gaps = numbers.subarray(2 * k * head.count, (2 * k + 1) * head.count);
    side.work = numbers.subarray((2 * k + 1) * head.count, (2 * k + 2) * head.count);
    side.starts = contactStarts(side);
  });
  return head;
}

/** Samples at which the gap closes. */
function contactStarts({ gaps, reach }) {
  const out = [];
  for (let i = 0; i < gaps.length; i++) {
    if (gaps[i] < reach && (i === 0 || gaps[i - 1] >= reach)) out.push(i);
  }
  return out;
}

/** A side at a time: gap [mm], whether it touches, contacts and work [mJ] so far. */
export function irisAt(head, side, time) {
  const i = Math.max(0, Math.min(head.count - 1, Math.floor(time / head.step + 1e-6)));
  const gap = side.gaps[i];
  let contacts = 0;
  while (contacts < side.starts.length && side.starts[contacts] <= i) contacts++;
  return { gap, touching: gap < side.reach, contacts, work: side.work[i] };
}

/** Start of the next contact of either side after a time [s], or null. */
export function nextContact(head, time) {
  const later = head.sides.flatMap(({ starts }) => starts.map((i) => i * head.step)).filter((t) => t > time + 1e-6);
  return later.length ? Math.min(...later) : null;
}

/** Two figures of a work [mJ]. */
export const workText = (value) => {
  if (value > 0 && value < 0.001) return "under 0.001";
  return String(Number(value.toPrecision(2)));
};
