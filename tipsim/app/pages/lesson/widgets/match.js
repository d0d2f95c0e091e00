// Match pairs by choosing from lists.

import { make } from "../../../framework/make.js";
import { label, mark } from "./text.js";

const words = (html) => label("span", html).textContent;

export function matchWidget(data) {
  const selects = new Map();
  const rows = data.lefts.map(({ id, html }, i) => {
    const select = make("select", { id: `match-${data.id}-${i}` });
    select.append(make("option", { value: "" }, "Choose …"));
    select.append(...data.rights.map(({ id: value, html: text }) => make("option", { value }, words(text))));
    selects.set(id, select);
    return make("div", { className: "pair" }, label("label", html, { htmlFor: select.id }), select);
  });
  const answer = () => Object.fromEntries([...selects].map(([id, select]) => [id, select.value]));
  return {
    node: make("div", { className: "match rows" }, ...rows),
    empty: "Choose something for each line.",
    answer: () => (Object.values(answer()).every(Boolean) ? answer() : null),
    show(given) {
      for (const [id, select] of selects) select.value = given[id] ?? "";
    },
    lock(judged) {
      selects.forEach((select) => (select.disabled = true));
      if (!judged) return;
      data.lefts.forEach(({ id }, i) => {
        const right = selects.get(id).value === judged.answer[id];
        const truth = data.rights.find((each) => each.id === judged.answer[id]);
        rows[i].append(mark(right, right ? "Right" : `Right is: ${words(truth.html)}`));
      });
    },
  };
}
