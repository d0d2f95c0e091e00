// Pictures and tracks as files. Each says that it is model data.

import { captioned } from "../../framework/caption.js";
import { make } from "../../framework/make.js";
import { methods } from "../../framework/methods.js";
import { numberText } from "../../framework/numbers.js";
import { save } from "../../framework/save.js";
import { imageOf } from "./picture.js";

const SHEET_WIDEST = 1960; // px of the sheet
const GAP = 6;
const LABEL = 18;
const HEAD = 44;

/** All pictures on one sheet, pixel by pixel, numbered and timed. */
function contactSheet(film) {
  const [count, rows, columns] = film.shape;
  const cell = [columns + GAP, rows + LABEL + GAP];
  const across = Math.max(1, Math.min(count, Math.floor(SHEET_WIDEST / cell[0])));
  const height = HEAD + Math.ceil(count / across) * cell[1] + GAP;
  const canvas = make("canvas", { width: Math.max(720, across * cell[0] + GAP), height });
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#ffffff";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.fillStyle = "#10181b";
  pen.font = "13px sans-serif";
  pen.fillText(film.about, GAP, 18);
  pen.fillText(`Model data, no measurement. ${film.settings}, pixel ${numberText(film.pixel)} µm`, GAP, 36);
  for (let i = 0; i < count; i++) {
    const [x, y] = [GAP + (i % across) * cell[0], HEAD + Math.floor(i / across) * cell[1]];
    pen.fillText(`${i + 1}: ${numberText(film.times[i], 4)} µs`, x, y + 13);
    pen.putImageData(imageOf(film, i), x, y + LABEL);
  }
  return canvas;
}

export async function savePictures(film) {
  const sheet = captioned(contactSheet(film), methods(), { paper: "#ffffff", ink: "#10181b" });
  const blob = await new Promise((done) => sheet.toBlob(done, "image/png"));
  save(blob, "tipsim-film-model-data.png");
}

export function saveTrack(film) {
  save(new Blob([film.csv], { type: "text/csv" }), "tipsim-track-model-data.csv");
}
