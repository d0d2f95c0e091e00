import assert from "node:assert/strict";
import test from "node:test";

import { isotherm, labelPlaces } from "../../tipsim/app/pages/heat/isotherms.js";

// Two rows of three cells, 10 px apart each way; a cell's middle lies half-way between its edges.
const shape = (now, rows = [{ start: 0, count: 3, at: 0 }, { start: 0, count: 3, at: 3 }]) => ({
  side: { rows, now },
  middle: (row) => (row.at ? 1 : 0),
  at: (i, r) => [10 * i, 10 * r],
});

test("a line across where all rows rise alike", () => {
  // 20, 30, 40 at x = 5, 15, 25: 27 lies at 12.
  assert.deepEqual(isotherm(shape([20, 30, 40, 20, 30, 40]), 27), [[12, 0, 12, 10]]);
});

test("a slanting line, from edge to edge of its squares", () => {
  // Upper row 20, 30, 30; lower row 30 all along: 25 crosses above at x = 10, and down at x = 5 half-way.
  assert.deepEqual(isotherm(shape([20, 30, 30, 30, 30, 30]), 25), [[10, 0, 5, 5]]);
});

test("none where nothing is as warm, or all is warmer", () => {
  assert.deepEqual(isotherm(shape([20, 30, 40, 20, 30, 40]), 50), []);
  assert.deepEqual(isotherm(shape([20, 30, 40, 20, 30, 40]), 10), []);
});

test("only where both rows have cells", () => {
  const rows = [{ start: 0, count: 3, at: 0 }, { start: 1, count: 2, at: 3 }];
  assert.deepEqual(isotherm(shape([20, 30, 40, 30, 40], rows), 27), []);
  assert.deepEqual(isotherm(shape([20, 30, 40, 30, 40], rows), 35), [[20, 0, 20, 10]]);
});

test("numbers stand at the top and at the foot of a line", () => {
  assert.deepEqual(labelPlaces([[1, 5, 2, 9], [3, 2, 4, 4]]), [[3, 2], [2, 9]]);
});
