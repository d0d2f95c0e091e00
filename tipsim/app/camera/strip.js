// The film strip: the same slice around one mark, cut out of every picture and set side by side
// where it belongs in time. Sampled pixel by pixel, so it shows what the sensor gave.

import { lasting } from "./packet.js";
import { largest } from "./tracks.js";

const SLICE_WIDEST = 46; // px of a slice

/** Where slices go: centre and width in px for a stretch of time [µs] over `width` px. */
export function slots(film, span, width) {
  const shown = film.times_us.map((us, i) => ({ i, us })).filter(({ us }) => us <= span);
  const every = (film.interval_us / span) * width;
  const wide = Math.min(every, SLICE_WIDEST);
  return shown.map(({ i, us }) => ({ i, x: (us / span) * width, wide }));
}

/** How far the plot of a mark reaches from rest [µm]. */
export function reachOf(film, mark) {
  return largest(film, mark) + film.dot_um * 1.35;
}

/**
 * Paint the slices of one mark.
 * @param {CanvasRenderingContext2D} pen of a canvas of width by height CSS px
 */
export function paintStrip(pen, film, mark, { width, height, span, reach, ratio }) {
  const w = Math.round(width * ratio);
  const h = Math.round(height * ratio);
  const image = pen.createImageData(w, h);
  const pixels = new Uint32Array(image.data.buffer);
  const [ax, ay] = mark.axis; // right, up
  const [column, row] = mark.rest_px;
  const perPixel = (2 * reach) / film.pixel_um / h; // sensor pixels per painted pixel
  for (const slot of slots(film, span, w)) {
    const half = Math.min(slot.wide, SLICE_WIDEST * ratio) / 2;
    const from = Math.max(0, Math.round(slot.x - half));
    // A seam between slices, where there is room for one.
    const to = Math.min(w, Math.round(slot.x + half) - (half > 4 ? 1 : 0));
    for (let y = 0; y < h; y++) {
      const up = (h / 2 - y - 0.5) * perPixel;
      for (let x = from; x < to; x++) {
        const side = (x + 0.5 - slot.x) * perPixel;
        // Along the axis is up in the strip; across it, to the right.
        const c = Math.round(column + up * ax + side * ay);
        const r = Math.round(row - up * ay + side * ax);
        if (c < 0 || r < 0 || c >= film.columns || r >= film.rows) continue;
        pixels[y * w + x] = 0xff000000 | (film.frames[(slot.i * film.rows + r) * film.columns + c] * 0x010101);
      }
    }
  }
  pen.putImageData(image, 0, 0);
}

/** Choices of how much of the film the time axis shows: the whole, and a few pictures. */
export function spans(film) {
  const whole = lasting(film);
  const few = Math.min(whole, 4 * film.interval_us);
  return { whole, few };
}
