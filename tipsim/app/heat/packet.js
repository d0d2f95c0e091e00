// From the server's packet to two needles and their temperatures at any time.

/** Decode `packet` of packet.py: the head, with each side's temperatures ready to be read. */
export function decodeHeat(data) {
  const bytes = data instanceof ArrayBuffer ? new Uint8Array(data) : data;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const length = view.getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + length)));
  const body = bytes.slice(4 + length).buffer;
  for (const side of head.sides) {
    let at = 0;
    for (const row of side.rows) {
      row.at = at;
      at += row.count;
    }
    side.width = at;
    side.slices = side.edges_mm.length - 1;
    side.length = side.edges_mm[side.slices];
    side.sheet = new Uint16Array(body, side.offset, side.frames * at);
    side.now = new Float32Array(at);
    side.last = head.times[side.frames - 1];
    side.boils = side.boiled !== null;
  }
  return head;
}

/** Where a time lies among rising times: [index before, share of the way to the next]. */
export function between(times, count, t) {
  let low = 0;
  let high = count - 1;
  if (t >= times[high]) return [high, 0];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (times[middle] <= t) low = middle;
    else high = middle;
  }
  return [low, Math.max(0, (t - times[low]) / (times[high] - times[low]))];
}

/** Fill `side.now` with all temperatures [°C] at a time; beyond its end the last stand. */
export function setTime(head, side, t) {
  const [i, w] = between(head.times, side.frames, t);
  const a = i * side.width;
  const b = Math.min(i + 1, side.frames - 1) * side.width;
  const { sheet, now } = side;
  for (let k = 0; k < side.width; k++) now[k] = ((1 - w) * sheet[a + k] + w * sheet[b + k]) * head.step;
}

/** A row by layer and side of the cut; the bore has one row for both sides. */
export const rowOf = (side, layer, which) =>
  side.rows.find((row) => row.layer === layer && (row.side === which || row.side === "middle"));

/** The slice at a distance from the end [mm], or null beyond the hub. */
export function sliceAt(side, fromEnd) {
  const s = side.length - fromEnd;
  if (s < -1e-6 || s > side.length + 1e-6) return null;
  let i = 0;
  while (i < side.slices - 1 && side.edges_mm[i + 1] < s) i++;
  return i;
}

/** The middle of a slice, from the end [mm]. */
export const middleOf = (side, i) => side.length - (side.edges_mm[i] + side.edges_mm[i + 1]) / 2;

/** Temperature now [°C] of a row at a distance from the end, between the middles of its cells. */
export function read(side, row, fromEnd) {
  const i = row ? sliceAt(side, fromEnd) : null;
  if (i === null || i < row.start || i >= row.start + row.count) return null;
  const here = middleOf(side, i);
  const j = Math.min(Math.max(fromEnd > here ? i - 1 : i + 1, row.start), row.start + row.count - 1);
  const value = (k) => side.now[row.at + k - row.start];
  if (j === i) return value(i);
  const w = Math.min(1, Math.abs((fromEnd - here) / (middleOf(side, j) - here)));
  return (1 - w) * value(i) + w * value(j);
}

/** The hottest cell of the cut now: {celsius, row, fromEnd}. */
export function hottest(side) {
  let best = null;
  for (const row of side.rows) {
    for (let k = 0; k < row.count; k++) {
      const celsius = side.now[row.at + k];
      if (best === null || celsius > best.celsius) best = { celsius, row, fromEnd: middleOf(side, row.start + k) };
    }
  }
  return best;
}

export const LAYER_WORDS = {
  bore: "water in the bore",
  metal: "metal",
  annulus: "water in the sleeve",
  inner: "sleeve, inside",
  outer: "sleeve, outside",
  near: "tissue at the sleeve",
  far: "tissue behind it",
};
export const SIDE_WORDS = { pressed: "pressed side", other: "other side", middle: "" };

/** A row in words: "metal, pressed side". */
export const rowWords = (row) => [LAYER_WORDS[row.layer], SIDE_WORDS[row.side]].filter(Boolean).join(", ");

/** What has happened on a bench until a time: {press, on, flow, power, blocked}. */
export function stateAt(head, k, t) {
  const side = head.sides[k];
  const out = { press: side.press, on: true, lost: false, power: null, blocked: null };
  for (const event of head.events[k]) {
    if (event.time_s > t) break;
    if (event.what === "drive on" || event.what === "drive off") out.on = event.what === "drive on";
    else if (event.what === "flow lost") out.lost = true;
    else if (event.what === "flow back") Object.assign(out, { lost: false, blocked: null });
    else if (event.what === "power") out.power = event.share_percent;
    else if (event.what === "occlusion") out.blocked = event.share_percent;
    else if (event.what === "load off") out.press = null;
    else {
      const press = { ...(out.press ?? side.press ?? head.usual_press) };
      if (event.force_g !== undefined) press.force_g = event.force_g;
      if (event.place_mm !== undefined) press.place_mm = event.place_mm;
      out.press = press;
    }
  }
  return out;
}
