// Where a needle runs and how thick it is, in mm; the same rules as tipsim/setup/centreline.py.

const RADIAN = Math.PI / 180;
const STEP = 0.2;

/** Start of each piece, and the end: {x, y, heading (rad), s}. */
export function walk(pieces) {
  const out = [{ x: 0, y: 0, heading: 0, s: 0 }];
  for (const piece of pieces) out.push(along(out[out.length - 1], piece, piece.length));
  return out;
}

/** The place at a distance `far` into a piece that begins at `start`. */
export function along(start, piece, far) {
  const turn = ((piece.turn * RADIAN) / piece.length) * far;
  const half = turn / 2;
  const chord = far * (Math.abs(half) < 1e-9 ? 1 : Math.sin(half) / half);
  return {
    x: start.x + chord * Math.cos(start.heading + half),
    y: start.y + chord * Math.sin(start.heading + half),
    heading: start.heading + turn,
    s: start.s + far,
  };
}

/** Outer and inner radius at a distance `s` from the hub. */
export function radiiAt(needle, starts, s) {
  let [outer, inner] = [needle.outer, needle.inner];
  for (let i = 0; i < needle.pieces.length; i++) {
    const piece = needle.pieces[i];
    const [outerEnd, innerEnd] = [piece.outer ?? outer, piece.inner ?? inner];
    if (s <= starts[i + 1].s || i === needle.pieces.length - 1) {
      const part = Math.min(1, Math.max(0, (s - starts[i].s) / piece.length));
      outer += (outerEnd - outer) * part;
      inner += (innerEnd - inner) * part;
      break;
    }
    [outer, inner] = [outerEnd, innerEnd];
  }
  if (needle.taper > 0) outer += (needle.hub - needle.outer) * (1 - Math.min(1, s / needle.taper));
  return [outer, inner];
}

/** Stations from the hub on, with place, heading and radii; joints and the taper's end are hit. */
export function stations(needle) {
  const starts = walk(needle.pieces);
  const out = [];
  needle.pieces.forEach((piece, i) => {
    const marks = [0, piece.length];
    const taper = needle.taper - starts[i].s;
    if (taper > 0 && taper < piece.length) marks.splice(1, 0, taper);
    for (let k = 0; k + 1 < marks.length; k++) {
      const count = Math.max(1, Math.ceil((marks[k + 1] - marks[k]) / STEP), Math.ceil(Math.abs(piece.turn) / 3));
      for (let j = 0; j < count; j++) {
        out.push(along(starts[i], piece, marks[k] + ((marks[k + 1] - marks[k]) * j) / count));
      }
    }
  });
  out.push(starts[starts.length - 1]);
  for (const station of out) {
    const [outer, inner] = radiiAt(needle, starts, station.s);
    Object.assign(station, { outer, inner });
  }
  return out;
}

/** A point beside a station: `aside` to the left, `ahead` along the line. */
export function beside({ x, y, heading }, aside, ahead = 0) {
  const [cos, sin] = [Math.cos(heading), Math.sin(heading)];
  return [x + ahead * cos - aside * sin, y + ahead * sin + aside * cos];
}

/** One edge of the tube, from hub to mouth, at a radius ("outer" or "inner") on one side (+1 left). */
export function edge(needle, line, which, side) {
  const end = line[line.length - 1];
  // The mouth looks back towards the shaft's direction, as on the stage.
  const open = Math.sin(end.heading) < -1e-9 ? 1 : -1;
  const ahead = -side * open * end[which] * Math.tan(needle.bevel * RADIAN);
  const last = end.s + Math.min(0, ahead);
  const points = line.slice(0, -1).filter((station) => station.s < last - 1e-9);
  return [...points.map((station) => beside(station, side * station[which])), beside(end, side * end[which], ahead)];
}

/** The tube's outline as a closed ring of points. */
export function ring(needle, line, which) {
  return [...edge(needle, line, which, 1), ...edge(needle, line, which, -1).reverse()];
}
