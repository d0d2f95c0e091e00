// Put in order: by buttons, or by dragging.

import { make } from "../../../framework/make.js";
import { label, mark } from "./text.js";

export function orderWidget(data, say) {
  const list = make("ol", { className: "order rows" });
  const rows = new Map(data.entries.map((entry) => [entry.id, row(entry, list, say)]));
  list.append(...rows.values());
  const order = () => [...list.children].map((child) => child.dataset.entry);
  return {
    node: list,
    empty: "",
    answer: order,
    show: (answer) => list.append(...answer.filter((id) => rows.has(id)).map((id) => rows.get(id))),
    lock(judged) {
      list.querySelectorAll("button").forEach((button) => button.remove());
      list.classList.add("locked");
      if (!judged) return;
      order().forEach((id, i) => {
        const right = judged.answer[i] === id;
        rows.get(id).append(mark(right, right ? "in its place" : `belongs at ${judged.answer.indexOf(id) + 1}`));
      });
    },
  };
}

function row(entry, list, say) {
  const text = label("span", entry.html, { className: "what" });
  const item = make("li", {}, text);
  item.dataset.entry = entry.id;
  const words = text.textContent;
  const move = (way, button) => {
    const other = way < 0 ? item.previousElementSibling : item.nextElementSibling;
    if (!other) return;
    if (way < 0) other.before(item);
    else other.after(item);
    button.focus();
    const place = [...list.children].indexOf(item) + 1;
    say(`${words}: now ${place} of ${list.children.length}`);
  };
  for (const [way, sign, name] of [[-1, "↑", "up"], [1, "↓", "down"]]) {
    const button = make("button", { type: "button", className: "shift" }, sign);
    button.setAttribute("aria-label", `Move ${name}: ${words}`);
    button.addEventListener("click", () => move(way, button));
    item.append(button);
  }
  dragged(item, list, text);
  return item;
}

/** The text is the handle; buttons stay buttons. Listening goes on wherever the pointer gets to. */
function dragged(item, list, handle) {
  const follow = (event) => {
    for (const other of list.children) {
      const box = other.getBoundingClientRect();
      const inside = event.clientY > box.top && event.clientY < box.bottom;
      if (other === item || !inside) continue;
      if (event.clientY < box.top + box.height / 2) other.before(item);
      else other.after(item);
      break;
    }
  };
  const drop = () => {
    item.classList.remove("dragged");
    window.removeEventListener("pointermove", follow);
    for (const end of ["pointerup", "pointercancel"]) window.removeEventListener(end, drop);
  };
  handle.addEventListener("pointerdown", (event) => {
    if (list.classList.contains("locked") || event.button !== 0) return;
    event.preventDefault();
    item.classList.add("dragged");
    window.addEventListener("pointermove", follow);
    for (const end of ["pointerup", "pointercancel"]) window.addEventListener(end, drop);
  });
}
