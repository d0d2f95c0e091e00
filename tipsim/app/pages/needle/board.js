// The drawing board: picture, pieces and files, and the changes that they send.

import { make } from "../../framework/make.js";
import { Messenger } from "../../framework/messenger.js";
import { Files } from "./files.js";
import { stations } from "./line.js";
import { Picture } from "./picture.js";
import { Pieces } from "./pieces.js";
import { tell } from "./typed.js";

class Board {
  constructor(model) {
    this.model = model;
    this.messenger = new Messenger(model, "n");
    this.acts = 0;
    this.chosen = this.firstBend();
    const set = (field, value, gesture) => this.send(field, `draft.${field}`, value, gesture);
    const choose = (piece) => this.choose(piece);
    this.picture = new Picture({
      set: (changes, gesture) => {
        for (const { field, value } of changes) {
          this.pieces.echo(field, value);
          set(field, value, gesture);
        }
      },
      choose,
    });
    this.pieces = new Pieces(model.known.pieces, { set, choose, act: (act, by) => this.act(act, by) });
    this.files = new Files(model, {
      load: (file) => this.send("load", "load", file),
      settled: () => this.messenger.settled(),
      complain: (sentence) => tell(this.wrong, sentence),
    });
    this.wrong = make("p", { className: "wrong", hidden: true });
    this.wrong.setAttribute("role", "alert");
    this.node = make(
      "div",
      { className: "desk" },
      this.picture.node,
      this.looks(),
      this.files.node,
      this.wrong,
      this.pieces.node,
    );
    // For tests: where the picture has the needle, in mm and in pixels.
    Object.assign(this.node, {
      tipsim: { line: () => stations(this.picture.draft), eye: () => ({ ...this.picture.eye }) },
    });
    this.node.addEventListener("keydown", (event) => this.key(event));
    model.on("draft", () => this.show());
    model.on("reply", () => this.answered());
    this.show();
  }

  // The first bend is what one comes for.
  firstBend() {
    return Math.max(0, this.model.draft.pieces.findIndex((piece) => Number(piece.turn_deg) !== 0));
  }

  looks() {
    const radios = ["Whole needle", "Close to the piece"].map((label, close) => {
      const radio = make("input", { type: "radio", name: "close", checked: !close });
      radio.addEventListener("change", () => this.picture.setClose(Boolean(close)));
      return make("label", {}, radio, label);
    });
    const set = make("div", { className: "segments", role: "radiogroup" }, ...radios);
    set.setAttribute("aria-label", "What the picture shows");
    const help =
      "Drag a ring to shift length between pieces (with Shift: only the piece before it), a diamond to bend. " +
      "Keys: Tab, arrows, Page Up and Down.";
    return make("div", { className: "bar" }, make("p", { className: "soft help" }, help), set);
  }

  send(id, field, value, gesture = null) {
    this.messenger.gesture = gesture;
    this.messenger.change(id, "both", field, value);
  }

  /** Send what is done as often as it is asked for. */
  once(field, value) {
    this.acts += 1;
    const id = `act ${this.acts}`;
    this.send(id, field, value);
    return id;
  }

  act(act, by) {
    const id = this.once(act, by ? [this.chosen, by] : this.chosen);
    this.acted = { id, by, count: this.model.draft.pieces.length };
  }

  choose(piece) {
    if (piece === this.chosen) return;
    this.chosen = piece;
    this.picture.choose(piece);
    this.pieces.choose(piece);
  }

  key(event) {
    const letter = event.key.toLowerCase();
    if (!(event.ctrlKey || event.metaKey) || event.altKey || !["z", "y"].includes(letter)) return;
    // Letters not yet handed over are the input's own to take back.
    if (this.pieces.isDirty(event.target)) return;
    event.preventDefault();
    const detail = letter === "y" || event.shiftKey ? "redo" : "undo";
    window.dispatchEvent(new CustomEvent("tipsim:step", { detail }));
  }

  answered() {
    const { n, error } = this.model.reply;
    this.messenger.heard(n);
    this.messenger.flush();
    this.show(error);
  }

  // The piece that was added or moved is the one to go on with.
  follow(count) {
    if (this.acted && !this.messenger.open(this.acted.id)) {
      const { by, count: before } = this.acted;
      this.acted = undefined;
      if (by) this.chosen += by;
      else if (count > before) this.chosen += 1;
    }
    this.chosen = Math.min(this.chosen, count - 1);
  }

  show(error = "") {
    const { draft } = this.model;
    this.follow(draft.pieces.length);
    const keep = !this.messenger.idle;
    this.pieces.show(draft, this.chosen, keep);
    this.picture.show(draft, this.chosen, keep);
    this.files.show(draft);
    tell(this.wrong, error || draft.errors.pieces);
  }
}

export function render({ model }) {
  return new Board(model).node;
}
