import assert from "node:assert/strict";
import { test } from "node:test";

import { fromQuery, moved, readLink, toQuery } from "../../tipsim/app/pages/present/slides.js";

const BASE = "https://host.example/tipsim/present";
const PATHS = ["compare", "heat"];
const read = (text) => readLink(text, BASE, PATHS);

test("an address of this server is kept without the server's name", () => {
  assert.deepEqual(read("https://host.example/tipsim/heat?press=on#energy"), { link: "heat?press=on#energy", wrong: "" });
  assert.equal(read(" compare?power=40 ").link, "compare?power=40");
});

test("what cannot be shown is refused with a sentence", () => {
  for (const [text, part] of [
    ["", "Enter the address"],
    ["https://elsewhere.example/tipsim/heat", "of this tipsim server"],
    ["javascript:alert(1)", "of this tipsim server"],
    ["https://host.example/other", "of this tipsim server"],
    ["lesson-of-mine", "not a page that can be shown"],
    ["http://[", "is not an address"],
  ]) {
    assert.equal(read(text).link, "");
    assert.match(read(text).wrong, new RegExp(part));
  }
});

test("a list goes through a link and back", () => {
  const slides = [
    { name: "A & B = 1", link: "compare?power=40" },
    { name: "Wärme", link: "heat?press=on" },
  ];
  assert.deepEqual(fromQuery(new URLSearchParams(toQuery(slides)), read), slides);
});

test("a link's foreign slides are left out", () => {
  const query = new URLSearchParams("name=x&link=https%3A%2F%2Felsewhere.example&name=y&link=heat");
  assert.deepEqual(fromQuery(query, read), [{ name: "y", link: "heat" }]);
});

test("moving keeps every slide", () => {
  assert.deepEqual(moved(["a", "b", "c"], 2, 0), ["c", "a", "b"]);
  assert.deepEqual(moved(["a", "b", "c"], 0, 9), ["b", "c", "a"]);
});
