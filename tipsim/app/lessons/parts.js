// What a step shows besides its text and questions; each gives a list of elements.

import { make } from "../framework/make.js";
import { mark, rich } from "./widgets/text.js";
import { choiceWidget } from "./widgets/choice.js";
import { matchWidget } from "./widgets/match.js";
import { orderWidget } from "./widgets/order.js";
import { placeWidget } from "./widgets/place.js";
import { sketchWidget } from "./widgets/sketch.js";

const PICTURED = {
  place: placeWidget,
  sketch: sketchWidget,
  order: orderWidget,
  match: matchWidget,
  several: choiceWidget,
};
const WORDS = { right: "As you said", partly: "Partly as you said", wrong: "Not as you said" };

const lines = (title, texts) =>
  texts.length
    ? [
        make(
          "div",
          { className: "task" },
          make("h3", {}, title),
          make("ul", {}, ...texts.map((html) => rich("li", html))),
        ),
      ]
    : [];

/** What to change and what to look at. */
export function runTasks(step) {
  const all = [...lines("Change", step.change ?? []), ...lines("Look", step.look ?? [])];
  return all.length ? [make("div", { className: "tasks" }, ...all)] : [];
}

/** Each prediction beside the result. */
export function compared(step) {
  return (step.compare ?? []).map((pair) => {
    const said = make("div", { className: "side" }, make("h4", {}, "You said"), rich("p", pair.said), sure(pair));
    const model = make("div", { className: "side" }, make("h4", {}, "The model"), rich("p", pair.truth));
    const box = make("section", { className: `comparison ${pair.verdict}`, "aria-label": pair.label });
    box.append(make("h3", {}, pair.label), rich("div", pair.html, { className: "asked" }), ...picture(pair));
    box.append(make("div", { className: "beside" }, said, model));
    const told = make("div", { className: `verdict ${pair.verdict}` });
    told.append(make("p", { className: "heading" }, mark(pair.verdict === "right", WORDS[pair.verdict])));
    told.append(...pair.feedback.map((html) => rich("div", html)));
    box.append(told);
    return box;
  });
}

const sure = ({ sure: words }) => (words ? make("p", { className: "hint" }, `How sure: ${words.toLowerCase()}`) : null);

/** A drawn prediction with the truth over it. */
function picture(pair) {
  const kind = PICTURED[pair.kind];
  if (!kind) return [];
  const widget = kind(pair, () => {}, () => {});
  widget.show(pair.given);
  widget.lock(pair.revealed);
  return [widget.node];
}

/** A question shown solved, before one is asked to solve its like. */
export function example(step) {
  if (!step.example) return [];
  const { html, worked } = step.example;
  const solved = make("ol", { className: "worked" }, ...worked.map((line) => rich("li", line)));
  return [
    make(
      "section",
      { className: "example", "aria-label": "Worked example" },
      make("h3", {}, "Worked example"),
      rich("div", html),
      solved,
    ),
  ];
}

export function keyPoints(step) {
  if (!step.points) return [];
  return [make("ul", { className: "points" }, ...step.points.map((html) => rich("li", html)))];
}

/** How it went, objective by objective, and what to repeat. */
export function result(step, player) {
  if (!step.result) return [];
  const { words, objectives, repeat, again: anew, next } = step.result;
  const rows = objectives.map(({ id, text, level, told, practice }) => {
    const again = make(
      "button",
      { type: "button", click: () => player.send({ do: "practise", objective: id }) },
      "Practise",
    );
    again.setAttribute("aria-label", `Practise: ${text}`);
    return make(
      "li",
      {},
      rich("span", text, { className: "objective" }),
      make("span", { className: `level ${level}` }, told),
      practice ? again : null,
    );
  });
  const box = make("section", { className: "result", "aria-label": "Your result" });
  box.append(make("h3", {}, "Your result"), make("p", {}, words), make("ul", { className: "objectives" }, ...rows));
  if (repeat.length) box.append(make("h4", {}, "To repeat"), make("ul", {}, ...repeat.map((html) => rich("li", html))));
  const more = make(
    "div",
    { className: "actions" },
    make("button", { type: "button", click: () => player.send({ do: "restart" }) }, anew),
  );
  box.append(more);
  if (next) box.append(make("p", {}, "Next: ", make("a", { href: next.href }, next.title)));
  return [box];
}

/** The sources that this step cites. */
export function sourceList(step) {
  if (!step.sources?.length) return [];
  const rows = step.sources.map(({ number, text, id }) => {
    const row = make("li", { id: `source-${id}`, tabIndex: -1 }, text);
    row.value = number;
    return row;
  });
  return [make("footer", { className: "sources" }, make("h3", {}, "Sources"), make("ol", {}, ...rows))];
}
