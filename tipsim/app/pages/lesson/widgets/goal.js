// Set the bench so that conditions hold; the bench itself stands above, the model judges.

import { make } from "../../../framework/make.js";
import { mark, rich } from "./text.js";

export function goalWidget(data, _say, settings) {
  const rows = data.conditions.map((html) => rich("li", html));
  const node = make("div", { className: "goal" }, make("ul", { className: "conditions rows" }, ...rows));
  return {
    node,
    empty: "Set the bench first.",
    answer: settings,
    show: () => {},
    lock(judged) {
      if (judged)
        rows.forEach((row, i) => row.append(mark(judged.holds[i], judged.holds[i] ? "holds" : "does not hold")));
    },
  };
}
