// A number, typed with or without its unit.

import { make } from "../../../framework/make.js";

export function numberWidget(data) {
  const typed = make("input", {
    type: "text",
    id: `number-${data.id}`,
    inputMode: "decimal",
    autocomplete: "off",
    maxLength: 60,
  });
  const unit = [data.unit === "times" ? "times" : data.unit, data.means].filter(Boolean).join(" ");
  const label = make("label", { className: "soft", htmlFor: typed.id }, "Your number");
  const node = make("div", { className: "number row" }, label, typed, make("span", { className: "unit" }, unit));
  if (unit) typed.setAttribute("aria-label", `Your number, in ${unit}`);
  return {
    node,
    empty: "Type a number.",
    answer: () => typed.value.trim() || null,
    show: (answer) => (typed.value = answer),
    lock: () => (typed.disabled = true),
  };
}
