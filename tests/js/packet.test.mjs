import assert from "node:assert/strict";
import test from "node:test";

import { decode } from "../../tipsim/app/framework/packet.js";

// Written by hand: head of 60 bytes (padded, so that 4 + 60 is a multiple of 8), then 0.5 and 2 as
// float32 (0x3f000000, 0x40000000), then 1 and 255 as bytes.
const head = '{"a":1,"curve":{"$":["f4",0,2]},"on":{"$":["u1",8,2]}}'.padEnd(60);
const body = [0, 0, 0, 0x3f, 0, 0, 0, 0x40, 1, 255, 0, 0, 0, 0, 0, 0];
const bytes = Uint8Array.from([60, 0, 0, 0, ...new TextEncoder().encode(head), ...body]);

const fits = ({ a, curve, on }) => {
  assert.equal(a, 1);
  assert.ok(curve instanceof Float32Array);
  assert.deepEqual([...curve], [0.5, 2]);
  assert.deepEqual([...on], [1, 255]);
};

test("arrays stand where they belong in the tree", () => {
  fits(decode(bytes));
  fits(decode(bytes.buffer));
});

test("bytes at an odd place in a larger buffer", () => {
  const larger = new Uint8Array(bytes.length + 3);
  larger.set(bytes, 3);
  fits(decode(larger.subarray(3)));
});
