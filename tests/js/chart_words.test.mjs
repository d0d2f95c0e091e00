import assert from "node:assert/strict";
import test from "node:test";

import { wordsOf } from "../../tipsim/app/framework/chart_words.js";

// A picture of 500 × 200 px that starts at (50, 10), of 0 to 10 across and 0 to 100 upward.
const frame = { left: 50, right: 550, top: 10, bottom: 210, width: 500, height: 200 };
const place = {
  frame,
  x: { start: 0, end: 10 },
  y: { start: 0, end: 100 },
  px: (x) => 50 + 50 * x,
  py: (y) => 210 - 2 * y,
  paint: (name) => `paint of ${name}`,
};
const line = (name) => ({ name, label: name, short: name.toUpperCase(), colour: name, step: false });
const kind = { lines: [line("a"), line("b")] };
const words = (data, where = place) => wordsOf(where, kind, { lines: {}, ...data });
const height = (word, where = place) => where.py(word.y) + word.dy;

test("names stand at the curves' ends, 13 px apart where the curves end together", () => {
  const all = words({ lines: { a: { x: [0, 10], y: [0, 50] }, b: { x: [0, 10], y: [0, 51] } } });
  assert.deepEqual(all.map(({ text }) => text), ["A", "B"]);
  assert.deepEqual(all.map(({ x }) => x), [10, 10]);
  assert.ok(Math.abs(height(all[0]) - height(all[1])) >= 13 - 1e-9);
  assert.equal(all[0].colour, "paint of a");
});

test("a curve that ends outside the picture has no name in it", () => {
  const zoomed = { ...place, y: { start: 0, end: 10 }, py: (y) => 210 - 20 * y };
  assert.deepEqual(words({ lines: { a: { x: [0, 10], y: [0, 50] } } }, zoomed), []);
});

test("a word at a line across stands below it where another line would go through it", () => {
  const [one, two] = words({ levels: [{ y: 50, label: "one" }, { y: 54, label: "two" }] });
  // The other line is 8 px higher, the word's middle 7.
  assert.equal(height(one), 210 - 100 + 8);
  assert.equal(height(two), 210 - 108 - 7);
});

test("words at lines across stand above them and clear of one another", () => {
  const all = words({ levels: [{ y: 50, label: "one" }, { y: 51, label: "two" }, { y: 51, label: "left", left: true }] });
  const [left, one, two] = all;
  assert.deepEqual([left.text, one.text, two.text], ["left", "one", "two"]);
  assert.equal(height(one), 210 - 100 - 7);
  assert.equal(height(two), height(one) - 13);
  assert.deepEqual([left.align, left.x, one.align, one.x], ["left", 0, "right", 10]);
});

test("a line at the top has its word below; less said in a narrow picture", () => {
  const [top] = words({ levels: [{ y: 99, label: "top" }] });
  assert.equal(height(top), 210 - 198 + 8);
  const narrow = { ...place, frame: { ...frame, width: 300 } };
  assert.deepEqual(words({ levels: [{ y: 50, label: "less", minor: true }] }, narrow), []);
});

test("words at lines upward go a row further where they would touch, and turn at the right edge", () => {
  const all = words({ marks: [{ x: 1, label: "first" }, { x: 1.1, label: "second" }, { x: 9.9, label: "at the end" }] });
  assert.deepEqual(all.map((word) => height(word)), [19, 32, 19]);
  assert.deepEqual(all.map(({ align }) => align), ["left", "left", "right"]);
});

test("dots name themselves, ticks stand at the foot, bands say theirs inside", () => {
  const all = words({
    bands: [{ low: 20, high: 40, label: "band" }],
    dots: [{ x: 5, y: 50, label: "dot" }, { x: 9.9, y: 50, label: "late" }, { x: 5, y: 5 }],
    ticks: [{ x: 3, side: "a" }, { x: 11, side: "b" }],
  });
  assert.deepEqual(all.map(({ text }) => text), ["band", "dot", "late", "|"]);
  assert.equal(height(all[0]), 210 - 80 + 9);
  assert.equal(all[2].align, "right");
});
