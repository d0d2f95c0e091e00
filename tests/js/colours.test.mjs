import assert from "node:assert/strict";
import test from "node:test";

import { colourOf, inkOn, levelsOf, rgbOf, stepOf } from "../../tipsim/app/pages/heat/colours.js";

const scale = { low: 20, high: 70 };

test("ends of the scale: the palest colour, and none of the blackest seventh", () => {
  assert.deepEqual(rgbOf(1), [0xfc, 0xfe, 0xa4]);
  assert.deepEqual(rgbOf(2), rgbOf(1));
  // 0.14 of 16 steps is 2.24: 0.24 of the way from 200c4a to 3c0965.
  assert.deepEqual(rgbOf(0), [39, 11, 80]);
});

test("lightness rises all the way", () => {
  const luma = Array.from({ length: 101 }, (_, k) => rgbOf(k / 100)).map(([r, g, b]) => 0.21 * r + 0.72 * g + 0.07 * b);
  for (let k = 1; k < luma.length; k++) assert.ok(luma[k] > luma[k - 1], String(k));
});

test("temperatures find their step, also beyond the scale", () => {
  assert.equal(stepOf(20, scale), 0);
  assert.equal(stepOf(70, scale), 255);
  assert.equal(stepOf(45, scale), 128); // half of 255, rounded up
  assert.equal(stepOf(-5, scale), 0);
  assert.equal(stepOf(90, scale), 255);
  assert.equal(colourOf(90, scale), "rgb(252 254 164)");
});

test("words on it are white on dark and dark on light", () => {
  assert.equal(inkOn(20, scale), "#ffffff");
  assert.equal(inkOn(70, scale), "#10181b");
});

test("lines at round temperatures inside the scale, and at 45 °C", () => {
  assert.deepEqual(levelsOf(scale), [30, 40, 45, 50, 60]);
  assert.deepEqual(levelsOf({ low: 20, high: 30 }), [22, 24, 26, 28]);
});
