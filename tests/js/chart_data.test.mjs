import assert from "node:assert/strict";
import test from "node:test";

import {
  csv, extremes, rangeOf, reading, spread, summary, table, valueAt,
} from "../../tipsim/app/framework/chart_data.js";

const axis = (label, unit, more = {}) => ({ label, unit, log: false, reverse: false, zero: false, digits: 3, ...more });
const line = (name, label) => ({ name, label, short: label, colour: name, dash: "solid", width: 2, area: false, step: false });
const kind = {
  name: "test.flow",
  title: "Flow over time",
  x: axis("Time", "s"),
  y: axis("Flow", "mL/min", { zero: true }),
  lines: [line("a", "A"), line("b", "B")],
  height: 100,
  room: 20,
  x_shown: true,
};
const data = {
  lines: { a: { x: [0, 1, 2], y: [0, 10, 0] }, b: { x: [0, 1], y: [4, 64000] } },
  levels: [{ y: 45, label: "limit" }, { y: 50 }],
};

test("a value between points, at the ends, beyond them", () => {
  assert.equal(valueAt([0, 1, 2], [0, 10, 0], 0.25), 2.5);
  assert.equal(valueAt([0, 1, 2], [0, 10, 0], 2), 0);
  assert.equal(valueAt([0, 1, 2], [0, 10, 0], 2.1), null);
  assert.equal(valueAt([2, 1, 0], [0, 10, 30], 0.25), 25); // hub first: x falls
  assert.equal(valueAt([0, 1], [5, 7], 0.9, true), 5);
  assert.equal(valueAt([0, 1], [5, 7], 1, true), 7);
  assert.equal(valueAt([], [], 0), null);
  assert.equal(valueAt([0, 1], [NaN, 1], 0.5), null);
});

test("extremes pass over what is no number", () => {
  assert.deepEqual(extremes([0, 1, 2], [NaN, 3, -1]), { low: -1, lowAt: 2, high: 3, highAt: 1 });
  assert.equal(extremes([0], [NaN]), null);
});

test("ranges: with zero, with room, of logarithmic axes", () => {
  assert.deepEqual(rangeOf(kind.y, [[2, 10]], true), [0, 10]);
  assert.deepEqual(rangeOf(kind.x, [[2, 10]], true), [2, 10]);
  const [low, high] = rangeOf(kind.x, [[0, 100]], false);
  assert.ok(low < 0 && high > 100);
  const log = rangeOf(axis("", "", { log: true }), [[0, 1e-9, 50]], false);
  assert.ok(log[0] > 0 && log[0] < 0.01 && log[1] > 50); // four decades at most, zero left out
  assert.deepEqual(rangeOf(kind.x, [[]], true), [0, 1]);
});

test("what is read at a place", () => {
  assert.equal(reading(kind, data, 1), "Time 1 s: A 10 mL/min, B 64\u202f000 mL/min");
  assert.equal(reading(kind, data, 1.5), "Time 1.5 s: A 5 mL/min, B –");
});

test("the summary names extremes and lines across", () => {
  const words = summary(kind, { ...data, words: "A run." });
  assert.match(words, /^A run\. A: lowest 0 mL\/min at 0 s, highest 10 mL\/min at 1 s\./);
  assert.match(words, /Lines across: limit at 45 mL\/min\.$/);
});

test("a table has round shares of what is shown, with units in its head", () => {
  const { titles, rows } = table(kind, data, [0, 1.2]);
  assert.deepEqual(titles, ["Time [s]", "A [mL/min]", "B [mL/min]"]);
  assert.equal(rows.length, 13);
  assert.deepEqual(rows[0], ["0", "0", "4"]);
  assert.deepEqual(rows[12], ["1.2", "8", "–"]);
});

test("CSV holds all points; lines over the same places share a column", () => {
  assert.equal(
    csv(kind, data),
    "Time [s],A [mL/min],Time [s],B [mL/min]\r\n0,0,0,4\r\n1,10,1,64000\r\n2,0,,\r\n",
  );
  const same = { lines: { a: { x: [0, 1], y: [1, 2] }, b: { x: Float32Array.of(0, 1), y: [3, 4], label: 'B, "x"' } } };
  assert.equal(csv(kind, same), 'Time [s],A [mL/min],"B, ""x"" [mL/min]"\r\n0,1,3\r\n1,2,4\r\n');
});

test("words are pushed apart, no further than they need", () => {
  assert.deepEqual(spread([10, 50], 13), [10, 50]);
  assert.deepEqual(spread([20, 20], 10), [15, 25]);
  assert.deepEqual(spread([30, 21, 24], 10), [35, 15, 25]);
  assert.deepEqual(spread([98, 98], 13, 0, 100), [87, 100]); // at the foot: none below it
  assert.deepEqual(spread([1, 1], 13, 0, 100), [0, 13]); // at the top: none above it
});
