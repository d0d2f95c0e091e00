// The packet from the server, unpacked: two needles with rest shape, radii and complex
// amplitudes. Lengths in mm, displacements in micrometre, angles in radian.

const FLOATS_A_NODE = 12;

/**
 * Unpack one packet.
 * @param {ArrayBuffer} buffer what `encode` of packet.py wrote
 * @returns {object[]} side A, side B
 */
export function decodePacket(buffer) {
  const length = new DataView(buffer).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length)));
  const floats = new Float32Array(buffer, 4 + length);
  return head.sides.map((side) => unpackSide(side, floats));
}

function unpackSide(head, floats) {
  const n = head.n;
  const take = (name, width) => floats.subarray(head[name], head[name] + n * width);
  const side = {
    ...head,
    rest: take("rest", 3),
    outer: take("outer", 1),
    inner: take("inner", 1),
    amp: take("amp", FLOATS_A_NODE),
  };
  side.s = arcLengths(side.rest, n);
  side.tangent = tangents(side.rest, n);
  side.length = side.s[n - 1];
  side.marks = head.markers.map((marker) => ({ ...marker, ...pointAt(side, marker.distance_mm) }));
  side.still = head.nodes_mm.map((distance) => ({ distance, ...pointAt(side, distance) }));
  side.tube = side.sleeve ? sleeveTube(side) : null;
  return side;
}

/** Distance of each node from the hub, along the centreline. */
function arcLengths(rest, n) {
  const s = new Float64Array(n);
  for (let i = 1; i < n; i++) {
    const j = 3 * i;
    s[i] = s[i - 1] + Math.hypot(rest[j] - rest[j - 3], rest[j + 1] - rest[j - 2], rest[j + 2] - rest[j - 1]);
  }
  return s;
}

/** Unit tangents of the needle at rest, hub to mouth. */
function tangents(rest, n) {
  const out = new Float64Array(3 * n);
  for (let i = 0; i < n; i++) {
    const from = 3 * Math.max(i - 1, 0);
    const to = 3 * Math.min(i + 1, n - 1);
    const x = rest[to] - rest[from];
    const y = rest[to + 1] - rest[from + 1];
    const z = rest[to + 2] - rest[from + 2];
    const size = Math.hypot(x, y, z) || 1;
    out.set([x / size, y / size, z / size], 3 * i);
  }
  return out;
}

/** Rest place and complex displacement at a distance from the end, linear between nodes. */
function pointAt(side, distance) {
  const s = Math.min(Math.max(side.length - distance, 0), side.length);
  let i = 0;
  while (i < side.n - 2 && side.s[i + 1] < s) i++;
  const step = side.s[i + 1] - side.s[i] || 1;
  const w = (s - side.s[i]) / step;
  const mix = (array, width, k) => array[i * width + k] * (1 - w) + array[(i + 1) * width + k] * w;
  const three = (array, width, start, stride) => [0, 1, 2].map((k) => mix(array, width, start + stride * k));
  return {
    rest: three(side.rest, 3, 0, 1),
    re: three(side.amp, FLOATS_A_NODE, 0, 2),
    im: three(side.amp, FLOATS_A_NODE, 1, 2),
    radius: mix(side.outer, 1, 0),
  };
}

/** The sleeve as a tube of its own that follows the needle at rest and does not move. */
function sleeveTube(side) {
  const { start_mm: start, end_mm: end, outer_radius_mm: outer, inner_radius_mm: inner } = side.sleeve;
  const n = 48;
  const rest = new Float64Array(3 * n);
  for (let i = 0; i < n; i++) {
    rest.set(pointAt(side, side.length - (start + ((end - start) * i) / (n - 1))).rest, 3 * i);
  }
  return {
    n,
    rest,
    outer: new Float64Array(n).fill(outer),
    inner: new Float64Array(n).fill(inner),
    amp: new Float64Array(FLOATS_A_NODE * n),
    s: arcLengths(rest, n),
    tangent: tangents(rest, n),
    length: end - start,
    bevel_deg: 0,
    ports: side.sleeve.ports_mm.map((place) => portRims(side, place)).flat(),
  };
}

/** The rims of the two side ports, drawn square to the plane of the bends: points with outward normals. */
function portRims(side, place) {
  const { outer_radius_mm: radius, port_diameter_mm: diameter } = side.sleeve;
  const count = 28;
  return [1, -1].map((way) => {
    const points = new Float64Array(3 * count);
    for (let k = 0; k < count; k++) {
      const angle = (2 * Math.PI * k) / count;
      const along = (diameter / 2) * Math.cos(angle);
      const round = ((diameter / 2) * Math.sin(angle)) / radius;
      const { rest } = pointAt(side, side.length - place - along);
      const i = nearestNode(side, place);
      const [tx, ty] = [side.tangent[3 * i], side.tangent[3 * i + 1]];
      points.set(
        [
          rest[0] - ty * radius * Math.sin(round),
          rest[1] + tx * radius * Math.sin(round),
          rest[2] + way * radius * Math.cos(round),
        ],
        3 * k,
      );
    }
    return { points, normal: [0, 0, way] };
  });
}

function nearestNode(side, s) {
  let i = 0;
  while (i < side.n - 1 && side.s[i] < s) i++;
  return i;
}
