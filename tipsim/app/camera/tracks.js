// Where each mark was seen, over time, against where it truly was.

import { draw, ticks } from "../framework/make.js";
import { short } from "./text.js";
import { angleAt, swing } from "./packet.js";

export const LEFT = 44; // px
export const RIGHT = 10; // px
const MOST_CYCLES = 130; // more are drawn as a band
const DENSE = 50; // cycles from which the line is thin
const POINTS_A_CYCLE = 28;
const FEWEST_POINTS = 300;

/** The true curve: a line, or a band where cycles lie too close to be told apart. */
function trueCurve(film, pair, span, x, y, name) {
  const cycles = (span * film.frequency_hz) / 1e6;
  const top = Math.hypot(...pair);
  if (isBand(film, span)) {
    return draw("rect", { x: x(0), width: x(span) - x(0), y: y(top), height: y(-top) - y(top), class: `${name} band` });
  }
  const count = Math.max(FEWEST_POINTS, Math.ceil(cycles * POINTS_A_CYCLE));
  const points = [];
  for (let k = 0; k <= count; k++) {
    const us = (span * k) / count;
    points.push(`${x(us).toFixed(1)},${y(swing(pair, angleAt(film, us))).toFixed(1)}`);
  }
  return draw("polyline", { points: points.join(" "), class: cycles > DENSE ? `${name} thin` : name });
}

/** What was seen: points, and the line that the eye puts through them. */
function seenCurve(film, mark, span, x, y, size) {
  const out = draw("g", { class: "seen" });
  let run = [];
  const flush = () => {
    if (run.length > 1) out.append(draw("polyline", { points: run.join(" ") }));
    run = [];
  };
  film.times_us.forEach((us, i) => {
    const value = mark.seen_um[i];
    if (us > span) return;
    if (value === null) return flush();
    run.push(`${x(us).toFixed(1)},${y(value).toFixed(1)}`);
  });
  flush();
  film.times_us.forEach((us, i) => {
    const value = mark.seen_um[i];
    if (us > span || value === null) return;
    const [cx, cy] = [x(us), y(value)];
    const bar = Math.abs(y(mark.bar_um) - y(0));
    if (bar > size) out.append(draw("line", { x1: cx, x2: cx, y1: cy - bar, y2: cy + bar }));
    out.append(draw("circle", { cx, cy, r: size }));
  });
  return out;
}

/** The chosen mark: axes and curves over the strip; the strip itself lies below, on a canvas. */
export function paintChosen(svg, film, mark, { width, height, span, reach }) {
  const inner = width - LEFT - RIGHT;
  const x = (us) => LEFT + (us / span) * inner;
  const y = (um) => (height - 22) / 2 - (um / reach) * ((height - 22) / 2);
  const parts = [];
  for (const v of ticks(-reach, reach, 6)) {
    if (Math.abs(v) > reach * 0.93) continue;
    parts.push(draw("line", { x1: LEFT - 4, x2: LEFT, y1: y(v), y2: y(v), class: "axis" }));
    parts.push(draw("text", { x: LEFT - 7, y: y(v) + 4, class: "end" }, short(v)));
  }
  const ms = span >= 10_000;
  const marks = ticks(0, ms ? span / 1000 : span, width < 480 ? 4 : 8);
  for (const v of marks) {
    const us = ms ? v * 1000 : v;
    parts.push(draw("line", { x1: x(us), x2: x(us), y1: height - 22, y2: height - 18, class: "axis" }));
    if (x(us) < width - 92) parts.push(draw("text", { x: x(us), y: height - 5, class: "mid" }, short(v)));
  }
  parts.push(draw("text", { x: width - RIGHT, y: height - 5, class: "end" }, ms ? "time, ms" : "time, µs"));
  if (film.surface) parts.push(trueCurve(film, mark.middle_um, span, x, y, "middle"));
  parts.push(trueCurve(film, mark.true_um, span, x, y, "true halo"));
  parts.push(trueCurve(film, mark.true_um, span, x, y, "true"));
  parts.push(seenCurve(film, mark, span, x, y, 3.4));
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  svg.replaceChildren(...parts);
}

/** How far anything that is drawn of a mark goes from rest [µm]. */
export function largest(film, mark) {
  const line = film.surface ? Math.hypot(...mark.middle_um) : 0;
  return Math.max(Math.hypot(...mark.true_um), line, ...mark.seen_um.map((v) => Math.abs(v ?? 0)));
}

/** Whether so many cycles pass that the truth is drawn as a band. */
export const isBand = (film, span) => (span * film.frequency_hz) / 1e6 > MOST_CYCLES;

/** All marks, one below the other, to one scale: [{number, svg}]. */
export function paintAll(rows, film, { width, span }) {
  const most = Math.max(1, ...film.marks.map((m) => largest(film, m)));
  rows.forEach((svg, k) => {
    const mark = film.marks[k];
    const height = Math.round(14 + 50 * (largest(film, mark) / most));
    const x = (us) => LEFT + (us / span) * (width - LEFT - RIGHT);
    const y = (um) => height / 2 - (um / most) * 25;
    svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    svg.style.height = `${height}px`;
    const parts = [draw("line", { x1: LEFT, x2: width - RIGHT, y1: y(0), y2: y(0), class: "zero" })];
    if (film.surface) parts.push(trueCurve(film, mark.middle_um, span, x, y, "middle"));
    parts.push(trueCurve(film, mark.true_um, span, x, y, "true"));
    parts.push(seenCurve(film, mark, span, x, y, 2));
    svg.replaceChildren(...parts);
  });
}
