// From the server's packet to plain data with typed arrays; see packet.py for the layout.

/** @type {Record<string, new (from: ArrayBufferLike, start: number, count: number) => ArrayLike<number>>} */
const TYPES = { f4: Float32Array, i4: Int32Array, u1: Uint8Array, u2: Uint16Array, u4: Uint32Array };

/**
 * Decode a packet.
 * @param {ArrayBuffer | Uint8Array} data
 * @returns {any} what `encode` of packet.py was given, each array as a flat typed array
 */
export function decode(data) {
  const given = data instanceof ArrayBuffer ? new Uint8Array(data) : data;
  // Typed arrays must begin at a multiple of their size.
  const bytes = given.byteOffset % 8 ? given.slice() : given;
  const length = new DataView(bytes.buffer, bytes.byteOffset).getUint32(0, true);
  const body = bytes.byteOffset + 4 + length;
  const placed = (/** @type {string} */ _, /** @type {any} */ value) => {
    if (!value?.$) return value;
    const [type, start, count] = value.$;
    return new TYPES[type](bytes.buffer, body + start, count);
  };
  return JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + length)), placed);
}
