// Where the eye stands, and how the needles share the picture at one scale.
//
// The needle is first rolled about its own long axis by `pitch`, then turned about the upright
// of the screen by `yaw`. So its shaft stays level on the screen in every view, and long thin
// needles use the width of the picture.

export const CAMERAS = {
  free: { yaw: 28, pitch: 42, label: "Free", hint: "drag to turn" },
  flat: { yaw: 0, pitch: 0, label: "Side view", hint: "bends seen" },
  edge: { yaw: 0, pitch: 90, label: "Top view", hint: "swing seen" },
  end: { yaw: 90, pitch: 0, label: "From the tip", hint: "" },
};

export const END_ZOOM_MM = 6;
export const DEGREE = Math.PI / 180;
// The picture does not shrink when the motion is drawn larger, up to here.
const ROOM_FOR_EXAGGERATION = 12;
const LARGEST_SCALE = 170;
// One above the other compares long needles best; side by side must show them clearly larger.
const FOR_STACKED = 1.2;

/** Fill `out` (9 numbers) with the rows right, up, toward the eye. */
export function orientation(yaw, pitch, out) {
  const cy = Math.cos(yaw * DEGREE);
  const sy = Math.sin(yaw * DEGREE);
  const cp = Math.cos(pitch * DEGREE);
  const sp = Math.sin(pitch * DEGREE);
  out[0] = cy;
  out[1] = -sy * sp;
  out[2] = -sy * cp;
  out[3] = 0;
  out[4] = cp;
  out[5] = -sp;
  out[6] = sy;
  out[7] = cy * sp;
  out[8] = cy * cp;
  return out;
}

/** What a needle and its motion cover, in mm on the screen, y up; from `fromS` mm behind the hub. */
export function coverage(side, m, exaggeration, fromS) {
  const grow = Math.max(exaggeration, ROOM_FOR_EXAGGERATION) * 1e-3;
  const box = { left: Infinity, right: -Infinity, low: Infinity, high: -Infinity };
  for (let i = 0; i < side.n; i++) {
    if (side.s[i] < fromS) continue;
    const x = reach(side, i, m, 0, grow);
    const y = reach(side, i, m, 3, grow);
    box.left = Math.min(box.left, x.at - x.half);
    box.right = Math.max(box.right, x.at + x.half);
    box.low = Math.min(box.low, y.at - y.half);
    box.high = Math.max(box.high, y.at + y.half);
  }
  return box;
}

/** Middle and half-width of what node `i` covers along row `row` of the orientation. */
function reach(side, i, m, row, grow) {
  const [a, b, c] = [m[row], m[row + 1], m[row + 2]];
  const r = 3 * i;
  const u = 12 * i;
  const { rest, amp, tangent } = side;
  const along = a * tangent[r] + b * tangent[r + 1] + c * tangent[r + 2];
  const swing = Math.hypot(
    a * amp[u] + b * amp[u + 2] + c * amp[u + 4],
    a * amp[u + 1] + b * amp[u + 3] + c * amp[u + 5],
  );
  const bevel = i === side.n - 1 ? Math.tan(side.bevel_deg * DEGREE) * Math.abs(along) : 0;
  return {
    at: a * rest[r] + b * rest[r + 1] + c * rest[r + 2],
    half: grow * swing + side.outer[i] * (Math.sqrt(Math.max(0, 1 - along * along)) + bevel),
  };
}

/** What all boxes cover together. */
export function joinBoxes(...boxes) {
  return {
    left: Math.min(...boxes.map(({ left }) => left)),
    right: Math.max(...boxes.map(({ right }) => right)),
    low: Math.min(...boxes.map(({ low }) => low)),
    high: Math.max(...boxes.map(({ high }) => high)),
  };
}

/**
 * One scale for all needles, and a lane for each: one above the other, or in two columns where that
 * shows them `favour` times larger. All lanes place the needle alike, so that equal places lie alike.
 * @returns {{stacked: boolean, scale: number, lanes: {x,y,w,h,ox,oy}[]}} pixels; scale in px/mm
 */
export function arrange(width, height, box, pads, favour, count = 2) {
  const rows = Math.ceil(count / 2);
  const h = height - pads.foot;
  const stacked = fit(width, h / count, box, pads, pads.titleStacked);
  const beside = fit(width / 2, h / rows, box, pads, pads.titleBeside);
  const isStacked = stacked * favour >= beside;
  const title = isStacked ? pads.titleStacked : pads.titleBeside;
  const scale = Math.min(isStacked ? stacked : beside, LARGEST_SCALE);
  const [columns, w, tall] = isStacked ? [1, width, h / count] : [2, width / 2, h / rows];
  const lanes = Array.from({ length: count }, (_, i) => {
    /** @type {any} */
    const lane = { x: (i % columns) * w, y: Math.floor(i / columns) * tall, w, h: tall };
    lane.ox = lane.x + lane.w / 2 - (scale * (box.left + box.right)) / 2;
    const room = lane.h - title - pads.below;
    lane.oy = lane.y + title + room / 2 + (scale * (box.low + box.high)) / 2;
    return lane;
  });
  return { stacked: isStacked, scale, lanes };
}

/** How much larger they must be side by side; as they are, for one who looks along them. */
export function favourStacked(m) {
  return Math.abs(m[0]) > 0.5 ? FOR_STACKED : 1;
}

function fit(w, h, box, pads, title) {
  const across = (w - 2 * pads.side) / (box.right - box.left);
  const down = (h - title - pads.below) / (box.high - box.low);
  return Math.max(Math.min(across, down), 4);
}

/** Between two arrangements, for a calm change of view. */
export function blendLayouts(from, to, w) {
  const mix = (a, b) => a + (b - a) * w;
  return {
    stacked: to.stacked,
    scale: mix(from.scale, to.scale),
    lanes: to.lanes.map((lane, i) => {
      const old = from.lanes[i];
      return Object.fromEntries(Object.keys(lane).map((key) => [key, mix(old[key], lane[key])]));
    }),
  };
}

/** Into −180 to 180. */
export function wrapDegrees(degrees) {
  return ((((degrees + 180) % 360) + 360) % 360) - 180;
}

/** The same direction, by the shorter way round. */
export function nearestTurn(to, from) {
  return from + wrapDegrees(to - from);
}
