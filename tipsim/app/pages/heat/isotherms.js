// Lines of equal temperature in the cut, by marching squares over the middles of the cells.

/** Segments [x1, y1, x2, y2] in pixels of one level. */
export function isotherm(shape, level) {
  const { side } = shape;
  const out = [];
  for (let k = 0; k + 1 < side.rows.length; k++) {
    const [upper, lower] = [side.rows[k], side.rows[k + 1]];
    const first = Math.max(upper.start, lower.start);
    const last = Math.min(upper.start + upper.count, lower.start + lower.count) - 1;
    for (let i = first; i < last; i++) square(shape, upper, lower, i, level, out);
  }
  return out;
}

const at = (shape, row, i) => {
  const r = shape.middle(row, i);
  const [a, b] = [shape.at(i, r), shape.at(i + 1, r)];
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
};

function square(shape, upper, lower, i, level, out) {
  const corners = [
    [upper, i],
    [upper, i + 1],
    [lower, i + 1],
    [lower, i],
  ];
  const values = corners.map(([row, n]) => shape.side.now[row.at + n - row.start] - level);
  if (values.every((v) => v > 0) || values.every((v) => v <= 0)) return;
  const places = corners.map(([row, n]) => at(shape, row, n));
  const cuts = [];
  for (let e = 0; e < 4; e++) {
    const f = (e + 1) % 4;
    if (values[e] > 0 === values[f] > 0) continue;
    const w = values[e] / (values[e] - values[f]);
    cuts.push([places[e][0] + w * (places[f][0] - places[e][0]), places[e][1] + w * (places[f][1] - places[e][1])]);
  }
  for (let c = 0; c + 1 < cuts.length; c += 2) out.push([...cuts[c], ...cuts[c + 1]]);
}

/** The topmost and the lowest point of a level's lines, for its number. */
export function labelPlaces(segments) {
  const points = segments.flatMap(([x1, y1, x2, y2]) => [[x1, y1], [x2, y2]]);
  const pick = (better) => points.reduce((one, other) => (better(other[1], one[1]) ? other : one));
  return [pick((y, best) => y < best), pick((y, best) => y > best)];
}
