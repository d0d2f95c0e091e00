// From the server's packet to a film.

/** Decode `encode` of reel.py: {head..., frames: Uint8Array}. */
export function decodeReel(data) {
  const bytes = data instanceof ArrayBuffer ? new Uint8Array(data) : data;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const length = view.getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + length)));
  const [count, rows, columns] = head.shape;
  return { ...head, count, rows, columns, frames: bytes.subarray(4 + length) };
}

/** The drive's angle at a time in the film [µs]. */
export const angleAt = (film, us) => film.trigger_rad + 2e-6 * Math.PI * film.frequency_hz * us;

/** Re(u e^{i angle}) of a pair [re, im]. */
export const swing = ([re, im], angle) => re * Math.cos(angle) - im * Math.sin(angle);

/** How long the film lasts, last exposure and pause included [µs]. */
export const lasting = (film) => film.count * film.interval_us;
