// One choice, or several.

import { make } from "../../../framework/make.js";
import { label, mark } from "./text.js";

export function choiceWidget(data) {
  const type = data.kind === "one" ? "radio" : "checkbox";
  const boxes = new Map();
  const rows = data.choices.map(({ id, html }) => {
    const box = make("input", { type, name: `choice-${data.id}`, value: id });
    boxes.set(id, box);
    return make("div", { className: "choice row" }, make("label", {}, box, label("span", html)));
  });
  const node = make("div", { className: "choices rows" }, ...rows);
  const chosen = () => [...boxes].filter(([, box]) => box.checked).map(([id]) => id);
  return {
    node,
    empty: data.kind === "one" ? "Choose one answer." : "Choose one answer or more.",
    answer: () => (chosen().length ? (data.kind === "one" ? chosen()[0] : chosen()) : null),
    show(answer) {
      for (const [id, box] of boxes) box.checked = [answer].flat().includes(id);
    },
    lock(judged) {
      [...boxes.values()].forEach((box) => (box.disabled = true));
      if (!judged) return;
      data.choices.forEach(({ id }, i) =>
        showJudged(rows[i], boxes.get(id).checked, [judged.answer].flat().includes(id)),
      );
    },
  };
}

function showJudged(row, chosen, right) {
  row.classList.add(right ? "is-right" : "is-wrong");
  if (right) row.append(mark(true, chosen ? "Right, and chosen" : "Right, not chosen"));
  else if (chosen) row.append(mark(false, "Chosen, not right"));
}
