// The page as a whole: the parts, the messages between them and the server, the keys of undo.

import { Address } from "../framework/address.js";
import { make } from "../framework/make.js";
import { Messages } from "./messages.js";
import { Tube } from "./fields.js";
import { Bar } from "./files.js";
import { stations } from "./line.js";
import { Outcome, Put, Totals } from "./outcome.js";
import { Picture } from "./picture.js";
import { Pieces } from "./pieces.js";

// When nothing has changed for so long, ask for what takes longer.
const QUIET = 400;

class EditorPage {
  constructor(model) {
    this.model = model;
    this.messages = new Messages(model);
    this.address = new Address();
    this.reply = model.reply;
    this.chosen = this.firstChosen();
    const act = (change) => this.messages.add(change);
    const set = (field, value, gesture = null) => this.messages.add({ do: "set", field, value, gesture });
    const choose = (piece) => this.choose(piece);
    const settled = () => this.messages.settled();
    this.picture = new Picture({
      set: (changes, gesture) => {
        for (const { field, value } of changes) this.pieces.echo(field, value);
        this.messages.add(...changes.map((c) => ({ ...c, gesture })));
      },
      choose,
      released: () => this.later(),
    });
    this.pieces = new Pieces(model.known, { set, act, choose });
    this.tube = new Tube(model.known, set);
    this.bar = new Bar(model.known, { set, act, settled, file: () => this.reply.file });
    this.outcome = new Outcome();
    this.totals = new Totals();
    this.put = new Put(settled);
    this.node = this.laidOut();
    // For tests: where the picture has the needle, in mm and in pixels.
    this.node.tipsim = { line: () => stations(this.picture.draft), eye: () => ({ ...this.picture.eye }) };
    this.node.addEventListener("keydown", (event) => this.key(event));
    model.on("reply", () => this.answered(model.reply));
    this.answered(model.reply);
  }

  // The first bend is what one comes for.
  firstChosen() {
    const bend = this.reply.draft.pieces.findIndex((piece) => Number(piece.turn_deg) !== 0);
    return Math.max(0, bend);
  }

  laidOut() {
    const board = make("section", { className: "board" }, this.picture.node, this.bar.said, this.boardBar());
    board.setAttribute("aria-label", "Picture");
    const side = make("div", { className: "side" }, this.put.node, this.totals.node);
    return make(
      "div",
      { className: "editor" },
      this.bar.node,
      board,
      this.outcome.node,
      make("div", { className: "columns" }, this.pieces.node, this.tube.node, side),
    );
  }

  boardBar() {
    const set = make("div", { className: "segments" });
    set.setAttribute("role", "radiogroup");
    set.setAttribute("aria-label", "What the picture shows");
    for (const [label, close] of [
      ["Whole needle", false],
      ["Close to the piece", true],
    ]) {
      const radio = make("input", { type: "radio", name: "close", checked: !close });
      radio.addEventListener("change", () => this.picture.setClose(close));
      set.append(make("label", {}, radio, label));
    }
    const help = make(
      "p",
      { className: "help" },
      "Drag a ring to shift length between pieces (with Shift: only the piece before it), a diamond to bend. ",
      "Keys: Tab, arrows, Page Up and Down.",
    );
    return make("div", { className: "board-bar" }, help, set);
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
    const active = this.node.getRootNode().activeElement;
    // Letters not yet handed over are the input's own to take back.
    if (active?.tagName === "INPUT" && active.type === "text" && this.isDirty(active)) return;
    event.preventDefault();
    this.messages.add({ do: letter === "y" || event.shiftKey ? "redo" : "undo" });
  }

  isDirty(input) {
    const all = [this.bar.title, ...this.tube.inputs.values(), ...this.pieces.rows.flatMap(({ typed }) => typed)];
    return all.some((typed) => typed.input === input && typed.dirty);
  }

  answered(reply) {
    this.reply = reply;
    const count = reply.draft.pieces.length;
    this.chosen = Math.min(reply.chosen ?? this.chosen, count - 1);
    this.messages.answer(reply.seq);
    const keep = !this.messages.idle;
    for (const part of [this.bar, this.tube, this.outcome, this.totals, this.put]) part.show(reply, keep);
    this.pieces.show(reply, this.chosen, keep);
    this.picture.show(reply, this.chosen, keep);
    this.address.show(reply.link);
    this.later();
  }

  later() {
    clearTimeout(this.looking);
    if (this.reply.look.thorough || this.reply.look.trouble) return;
    this.looking = setTimeout(() => {
      if (this.messages.idle && !this.picture.drag) this.messages.add({ do: "look" });
    }, QUIET);
  }
}

export function render({ model }) {
  return new EditorPage(model).node;
}
