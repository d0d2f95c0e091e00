import assert from "node:assert/strict";
import test from "node:test";

import { Messenger, tell } from "../../tipsim/app/framework/messenger.js";

globalThis.window = { dispatchEvent: () => {} };

// A page of a form and a picture; what the server hears, in its order.
const page = () => {
  const heard = [];
  const model = (name) => ({
    send_msg: ({ changes }) => heard.push(...changes.map(({ field, value }) => `${name}: ${field} ${value}`)),
  });
  const [form, picture] = [model("form"), model("picture")];
  return { heard, picture, form: new Messenger(form, "seq"), board: new Messenger(picture, "n") };
};
const end = (...messengers) => messengers.forEach((each) => each.giveUp());

test("a choice after a drag is heard after the drag's last value", () => {
  const { heard, form, picture, board } = page();
  for (const value of [80, 60, 40]) form.change("both:power", "both", "power", value);
  tell(picture, { changes: [{ field: "example", value: "kink" }] });
  form.heard(1);
  form.flush();
  assert.deepEqual(heard, ["form: power 80", "form: power 40", "picture: example kink"]);
  end(form, board);
});

test("what two parts set in turn is heard in turn, the newest value of each only", () => {
  const { heard, form, board } = page();
  form.change("a", "both", "a", 1);
  board.change("b", "both", "b", 1);
  form.change("a", "both", "a", 2);
  form.change("a", "both", "a", 3);
  board.change("b", "both", "b", 2);
  form.change("a", "both", "a", 4);
  form.change("a", "both", "a", 5);
  assert.deepEqual(heard, ["form: a 1", "picture: b 1", "form: a 3", "picture: b 2"]);
  // Answers come in order; what still waits leaves after the last of them.
  form.heard(1);
  form.flush();
  assert.equal(heard.length, 4);
  form.heard(2);
  form.flush();
  assert.equal(heard.at(-1), "form: a 5");
  assert.equal(form.idle, false);
  form.heard(3);
  assert.equal(form.idle, true);
  end(form, board);
});

test("what no answer has come to is all of what left and what waits", () => {
  const { form, board, picture } = page();
  form.change("a", "both", "a", 1);
  form.change("b", "both", "b", 2);
  tell(picture, { changes: [] });
  form.change("c", "both", "c", 3);
  assert.deepEqual(form.unanswered().map(({ value }) => value), [1, 2, 3]);
  end(form, board);
});
