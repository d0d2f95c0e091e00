// Mark a place on the needle: by pointer, or by arrow keys.

import { make } from "../../../framework/make.js";
import { NeedleDrawing } from "./needle.js";
import { millimetres } from "./text.js";

const STEPS = {
  ArrowLeft: 0.1, ArrowUp: 0.1, ArrowRight: -0.1, ArrowDown: -0.1, PageUp: 1, PageDown: -1,
};

export function placeWidget(data) {
  const drawing = new NeedleDrawing(data.needle, `${data.needle.title}, hub on the left, end on the right`);
  const length = data.needle.from_end[0];
  const said = make("output", { className: "said" });
  const pin = drawing.pin("given");
  let place = null;
  const svg = drawing.svg;
  const put = (distance) => {
    place = Math.round(Math.min(length, Math.max(0, distance)) * 100) / 100;
    pin.node.removeAttribute("visibility");
    pin.put(place);
    said.textContent = `${millimetres(place)} from the end`;
    svg.setAttribute("aria-valuenow", place.toFixed(1));
    svg.setAttribute("aria-valuetext", said.textContent);
  };
  const begin = () => {
    pin.node.setAttribute("visibility", "hidden");
    said.textContent = "Click on the needle, or use the arrow keys.";
    const attributes = {
      role: "slider", tabindex: "0", "aria-valuemin": "0", "aria-valuemax": length.toFixed(1),
      "aria-valuenow": "0", "aria-valuetext": "no place chosen yet",
      "aria-label": `Place on the needle, distance from its end. ${data.needle.title}`,
    };
    for (const [name, value] of Object.entries(attributes)) svg.setAttribute(name, value);
  };
  const byPointer = (event) => put(drawing.nearest(...drawing.toDrawing(event)));
  const hand = { pressed: false, locked: false };
  svg.addEventListener("pointerdown", (event) => {
    if (hand.locked) return;
    hand.pressed = true;
    svg.setPointerCapture(event.pointerId);
    byPointer(event);
  });
  svg.addEventListener("pointermove", (event) => hand.pressed && byPointer(event));
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => (hand.pressed = false));
  svg.addEventListener("keydown", (event) => {
    const ends = { Home: length, End: 0 };
    if (hand.locked || !(event.key in STEPS || event.key in ends)) return;
    event.preventDefault();
    if (event.key in ends) put(ends[event.key]);
    // The first key only brings the mark in, at the end.
    else put(place === null ? 0 : place + STEPS[event.key] * (event.shiftKey ? 5 : 1));
  });
  begin();
  const hint = make(
    "p",
    { className: "soft" },
    "Arrow keys move by 0.1 mm, Page up and Page down by 1 mm; Home is the hub, End is the end.",
  );
  return {
    node: make("div", { className: "place rows" }, svg, said, hint),
    empty: "Mark a place on the needle.",
    answer: () => place,
    show: put,
    lock(judged) {
      hand.locked = true;
      hint.remove();
      // It is a picture now: nothing to slide.
      for (const name of ["tabindex", "aria-valuemin", "aria-valuemax", "aria-valuenow", "aria-valuetext"])
        svg.removeAttribute(name);
      svg.setAttribute("role", "img");
      if (!judged?.truths) return svg.setAttribute("aria-label", `Your mark: ${said.textContent}`);
      for (const truth of judged.truths) drawing.pin("truth").put(truth);
      const right = judged.truths.map(millimetres).join(" or ");
      said.textContent = `You: ${millimetres(place)}. Right: ${right} from the end (within ` +
        `${millimetres(judged.tolerance[0])}).`;
      svg.setAttribute("aria-label", said.textContent);
    },
  };
}
