// What the stage says: the scale of the picture, and the picture in words.

import { CAMERAS, END_ZOOM_MM } from "./camera.js";

/** Two figures at most, with thin spaces between thousands: 40 000. */
export function roundWords(value) {
  if (value < 10) return String(Number(value.toPrecision(2)));
  const size = 10 ** (Math.floor(Math.log10(value)) - 1);
  const text = String(Math.round(value / size) * size);
  return text.replace(/\B(?=(\d{3})+(?!\d))/g, "\u202f");
}

/** "motion ×12 · time ÷ 40 000". */
export function scaleWords(exaggeration, speed, frequency) {
  return `motion ×${roundWords(exaggeration)} · time ÷ ${roundWords(frequency / speed)}`;
}

/** One line beside the title of a needle; with its frequency where the two differ. */
export function titleWords(side, sides) {
  const end = side.marks[0];
  const same = sides.every(({ frequency_hz: hertz }) => hertz === side.frequency_hz);
  const words = end ? [`${first(end).replace("the ", "")} moves ${end.stroke_um_pp.toFixed(0)} µm peak to peak`] : [];
  if (!same) words.push(`${Number((side.frequency_hz / 1000).toFixed(2))} kHz`);
  return words.join(", ");
}

/** The picture for those who do not see it; changes with the packet and the view. */
export function pictureWords(sides, view) {
  const seen = CAMERAS[view.camera].hint ? ` (${CAMERAS[view.camera].hint})` : "";
  const part = view.zoom === "end" ? `the last ${END_ZOOM_MM} millimetres` : "the whole needles";
  return [
    `Two needles in slow motion, ${part}, seen ${CAMERAS[view.camera].label.toLowerCase()}${seen}.`,
    ...sides.map(sideWords),
  ].join(" ");
}

/** The first marker is the end only where it stands there. */
function first(marker) {
  return marker.distance_mm < 1e-6 ? "the end" : "marker 1";
}

function sideWords(side) {
  const parts = [`Needle ${side.key}, ${side.title}:`];
  const end = side.marks[0];
  parts.push(end ? `${first(end)} moves ${end.stroke_um_pp.toFixed(0)} micrometres peak to peak.` : "no markers.");
  const ways = new Map();
  side.marks.forEach(({ direction }, k) => k && ways.set(direction, [...(ways.get(direction) || []), k + 1]));
  for (const [direction, numbers] of ways) {
    parts.push(
      `${numbers.length > 1 ? "Markers" : "Marker"} ${listWords(numbers)} ${movesWords(direction, numbers.length)}.`,
    );
  }
  if (side.still.length) {
    const places = side.still.map((place) => place.distance.toFixed(1));
    parts.push(`It stands still ${listWords(places)} millimetres from the end.`);
  }
  return parts.join(" ");
}

function movesWords(direction, count) {
  const verb = (stem) => (count > 1 ? stem : `${stem}s`);
  if (direction === "still") return `${verb("stand")} still`;
  return `${verb("move")} ${direction === "across" ? "across the end's motion" : direction}`;
}

/** "1, 2 and 4". */
export function listWords(items) {
  if (items.length < 2) return items.join("");
  return `${items.slice(0, -1).join(", ")} and ${items[items.length - 1]}`;
}
