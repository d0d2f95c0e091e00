// The film strip: the same slice around one mark, cut out of every picture and set side by side
// where it belongs in time. Sampled pixel by pixel, so it shows what the sensor gave.

const SLICE_WIDEST = 46; // px of a slice

/**
 * Paint the slices of one mark where a chart draws its track.
 * @param {HTMLCanvasElement} canvas
 * @param {any} film
 * @param {any} mark
 * @param {import("../../framework/chart.js").Chart} chart its places in µs and µm are the strip's
 */
export function paintStrip(canvas, film, mark, chart) {
  const { left, top, width, height } = chart.box();
  const ratio = Math.min(2, window.devicePixelRatio || 1);
  const [w, h] = [Math.round(width * ratio), Math.round(height * ratio)];
  // A chart that is not laid out yet has no room.
  if (!(w > 0 && h > 0)) return;
  Object.assign(canvas, { width: w, height: h });
  const room = { left, top, width, height };
  for (const [name, px] of Object.entries(room)) canvas.style[name] = `${px}px`;
  const pen = canvas.getContext("2d");
  const image = pen.createImageData(w, h);
  const pixels = new Uint32Array(image.data.buffer);
  const [, rows, columns] = film.shape;
  const [ax, ay] = mark.axis; // right, up
  const [column, row] = mark.rest;
  const middle = (chart.py(0) - top) * ratio;
  // Sensor pixels per painted pixel.
  const fine = 1 / (Math.abs(chart.py(1) - chart.py(0)) * ratio * film.pixel);
  const every = (chart.px(1e6 / film.rate) - chart.px(0)) * ratio;
  const half = Math.min(every, SLICE_WIDEST * ratio) / 2;
  film.times.forEach((us, i) => {
    const x0 = (chart.px(us) - left) * ratio;
    const from = Math.max(0, Math.round(x0 - half));
    // A seam between slices, where there is room for one.
    const to = Math.min(w, Math.round(x0 + half) - (half > 4 ? 1 : 0));
    for (let y = 0; y < h; y++) {
      const up = (middle - y - 0.5) * fine;
      for (let x = from; x < to; x++) {
        const side = (x + 0.5 - x0) * fine;
        // Along the axis is up in the strip; across it, to the right.
        const c = Math.round(column + up * ax + side * ay);
        const r = Math.round(row - up * ay + side * ax);
        if (c < 0 || r < 0 || c >= columns || r >= rows) continue;
        pixels[y * w + x] = 0xff000000 | (film.pictures[(i * rows + r) * columns + c] * 0x010101);
      }
    }
  });
  pen.putImageData(image, 0, 0);
}
