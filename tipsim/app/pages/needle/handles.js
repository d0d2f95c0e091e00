// What a handle changes, where it stands, and which value brings it nearest to a pointer.

import { beside, radiiAt, walk } from "./line.js";
import { plain } from "./typed.js";

export const LENGTH_STEP = 0.05;
export const TURN_STEP = 0.5;
const LEVER = 58;
// How far from where it is a handle is looked for at each move of the pointer, in steps.
const REACH = 120;

const copied = (needle) => ({ ...needle, pieces: needle.pieces.map((piece) => ({ ...piece })) });
const round = (value) => Number(value.toFixed(6));

/** The end of a piece: a joint shifts length between its neighbours, the opening lengthens the last. */
export const lengthHandle = {
  kind: "length",
  step: LENGTH_STEP,
  value: (needle, i) => needle.pieces[i].length,
  limits: (needle, i, alone) => {
    const next = needle.pieces[i + 1];
    if (!next || alone) return [LENGTH_STEP, 40];
    return [LENGTH_STEP, Math.max(LENGTH_STEP, needle.pieces[i].length + next.length - LENGTH_STEP)];
  },
  with: (needle, i, value, alone) => {
    const out = copied(needle);
    const next = out.pieces[i + 1];
    if (next && !alone) next.length = round(next.length + out.pieces[i].length - value);
    out.pieces[i].length = value;
    return out;
  },
  changes: (needle, i, alone) => {
    const set = (k) => ({ field: `pieces.${k}.length_mm`, value: plain(needle.pieces[k].length) });
    return needle.pieces[i + 1] && !alone ? [set(i), set(i + 1)] : [set(i)];
  },
  place: (needle, i) => {
    const { x, y } = walk(needle.pieces)[i + 1];
    return [x, y];
  },
  name: (needle, i) =>
    needle.pieces[i + 1] ? `Joint of pieces ${i + 1} and ${i + 2}` : `Opening, length of piece ${i + 1}`,
  says: (needle, i) => {
    const next = needle.pieces[i + 1];
    const from = walk(needle.pieces)[i + 1].s;
    const rest = next ? `, piece ${i + 2} ${plain(next.length)} mm` : "";
    return `piece ${i + 1} ${plain(needle.pieces[i].length)} mm${rest}, ${from.toFixed(2)} mm from the hub`;
  },
};

/** The lever at a piece's end: swings all that lies beyond. */
export const turnHandle = {
  kind: "turn",
  step: TURN_STEP,
  value: (needle, i) => needle.pieces[i].turn,
  limits: () => [-180, 180],
  with: (needle, i, value) => {
    const out = copied(needle);
    out.pieces[i].turn = value;
    return out;
  },
  changes: (needle, i) => [{ field: `pieces.${i}.turn_deg`, value: plain(needle.pieces[i].turn) }],
  // On the outside of the bend, or where `side` holds it during a drag.
  side: (needle, i) => (needle.pieces[i].turn > 0 ? -1 : 1),
  place: (needle, i, scale, side) => {
    const starts = walk(needle.pieces);
    const end = starts[i + 1];
    return beside(end, side * (radiiAt(needle, starts, end.s)[0] + LEVER / scale));
  },
  name: (needle, i) => `Turn of piece ${i + 1}`,
  says: (needle, i) => {
    const turn = needle.pieces[i].turn;
    return turn ? `${plain(Math.abs(turn))}° to the ${turn > 0 ? "left" : "right"}` : "straight";
  },
};

/** The next value on the grid, `steps` further. */
export function stepped(handle, needle, i, steps, alone) {
  const now = handle.value(needle, i) / handle.step;
  const near = Math.round(now);
  const onGrid = Math.abs(now - near) < 1e-6;
  const from = onGrid ? near : steps > 0 ? Math.floor(now) : Math.ceil(now);
  return clamped(handle, needle, i, (from + steps) * handle.step, alone);
}

function clamped(handle, needle, i, value, alone) {
  const [low, high] = handle.limits(needle, i, alone);
  return round(Math.min(high, Math.max(low, value)));
}

/** The value on the grid that brings the handle nearest to a point (mm). */
export function nearestValue(handle, needle, i, [x, y], scale, side, alone) {
  const now = Math.round(handle.value(needle, i) / handle.step);
  let [best, least] = [handle.value(needle, i), Infinity];
  for (let n = now - REACH; n <= now + REACH; n++) {
    const value = clamped(handle, needle, i, n * handle.step, alone);
    const [hx, hy] = handle.place(handle.with(needle, i, value, alone), i, scale, side);
    const far = (hx - x) ** 2 + (hy - y) ** 2;
    if (far < least - 1e-12) [best, least] = [value, far];
  }
  return best;
}
