// Pictures and tracks as files. Each says that it is model data.

import { make } from "../framework/make.js";
import { timeText } from "./text.js";

const SHEET_WIDEST = 1960; // px of the sheet
const GAP = 6;
const LABEL = 18;

export function download(name, blob) {
  const link = make("a", { download: name, href: URL.createObjectURL(blob) });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/** All pictures on one sheet, pixel by pixel, numbered and timed. */
export function contactSheet(film) {
  const cell = [film.columns + GAP, film.rows + LABEL + GAP];
  const across = Math.max(1, Math.min(film.count, Math.floor(SHEET_WIDEST / cell[0])));
  const down = Math.ceil(film.count / across);
  const head = 44;
  const canvas = make("canvas", { width: Math.max(720, across * cell[0] + GAP), height: head + down * cell[1] + GAP });
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#ffffff";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.fillStyle = "#10181b";
  pen.font = "13px sans-serif";
  pen.fillText(film.about, GAP, 18);
  const rate = Math.round(1e7 / film.interval_us) / 10;
  pen.fillText(
    `Model data, no measurement. ${rate} pictures per second, exposure ${timeText(film.exposure_us)}, ` +
      `pixel ${film.pixel_um} µm, drive ${film.frequency_hz / 1000} kHz`,
    GAP,
    36,
  );
  const size = film.rows * film.columns;
  for (let i = 0; i < film.count; i++) {
    const image = pen.createImageData(film.columns, film.rows);
    const pixels = new Uint32Array(image.data.buffer);
    for (let k = 0; k < size; k++) pixels[k] = 0xff000000 | (film.frames[i * size + k] * 0x010101);
    const [x, y] = [GAP + (i % across) * cell[0], head + Math.floor(i / across) * cell[1]];
    pen.fillText(`${i + 1}: ${timeText(film.times_us[i])}`, x, y + 13);
    pen.putImageData(image, x, y + LABEL);
  }
  return canvas;
}

export function savePictures(film) {
  return new Promise((done) =>
    contactSheet(film).toBlob((blob) => {
      download("tipsim-film-model-data.png", blob);
      done();
    }, "image/png"),
  );
}

export function saveTrack(film) {
  download("tipsim-track-model-data.csv", new Blob([film.csv], { type: "text/csv" }));
}
