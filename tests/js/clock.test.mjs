import assert from "node:assert/strict";
import test from "node:test";

// Pictures are painted here when a test says so.
let waiting = null;
const page = { hidden: false, addEventListener: (_, shown) => (page.shown = shown), removeEventListener() {} };
Object.assign(globalThis, {
  document: page,
  requestAnimationFrame: (each) => ((waiting = each), 1),
  cancelAnimationFrame: () => (waiting = null),
});
const paint = (ms) => {
  const each = waiting;
  waiting = null;
  each?.(ms);
};
const { Clock } = await import("../../tipsim/app/framework/clock.js");

test("time runs at its rate and stops at the end", () => {
  const clock = new Clock(() => false, { end: 0.3, rate: 2 });
  clock.play(0);
  for (const ms of [1000, 1050, 1100]) paint(ms);
  assert.ok(Math.abs(clock.time - 0.2) < 1e-12); // 100 ms at twice the speed
  assert.ok(clock.running);
  for (const ms of [1140, 1180]) paint(ms);
  assert.equal(clock.time, 0.3);
  assert.ok(!clock.running);
  assert.equal(waiting, null); // nothing moves, nothing is painted
});

test("a round clock begins again", () => {
  const clock = new Clock(() => false, { end: 1, round: true });
  clock.play(0.96);
  for (const ms of [0, 80]) paint(ms);
  assert.ok(Math.abs(clock.time - 0.04) < 1e-12);
  assert.ok(clock.running);
  clock.pause();
  paint(100);
});

test("seeking stays inside and stands still; a shorter run pulls the time in", () => {
  const clock = new Clock(() => false, { end: 5 });
  clock.seek(9);
  assert.equal(clock.time, 5);
  clock.seek(-1);
  assert.equal(clock.time, 0);
  clock.seek(4);
  clock.fit(3);
  assert.deepEqual([clock.time, clock.until, clock.running], [3, 3, false]);
});

test("it plays to a moment, and waits while the page is hidden", () => {
  const clock = new Clock(() => false, { end: 5 });
  clock.play(1, 1.05);
  paint(0);
  page.hidden = true;
  paint(40);
  assert.equal(clock.time, 1);
  assert.equal(waiting, null);
  page.hidden = false;
  page.shown();
  for (const ms of [9000, 9030, 9060]) paint(ms);
  assert.deepEqual([clock.time, clock.running], [1.05, false]); // what was hidden did not count
});
