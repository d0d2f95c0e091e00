import assert from "node:assert/strict";
import test from "node:test";

import { numberText, plainNumber } from "../../tipsim/app/framework/numbers.js";

test("digits, thousands, minus", () => {
  const cases = [
    [64000, "64\u202f000"],
    [6400, "6400"],
    [1234567, "1\u202f234\u202f567"],
    [130.4, "130"],
    [0.0123456, "0.0123"],
    [-3.14159, "\u22123.14"],
    [-0.0000000000001, "0"],
    [0, "0"],
    [9.999, "10"],
    [null, "–"],
    [NaN, "–"],
  ];
  for (const [value, text] of cases) assert.equal(numberText(value), text, String(value));
  assert.equal(numberText(41.666, 4), "41.67");
});

test("numbers of a file have a decimal point and nothing else", () => {
  assert.equal(plainNumber(64000.5), "64000.5");
  assert.equal(plainNumber(Math.fround(0.1)), "0.1");
  assert.equal(plainNumber(null), "");
});
