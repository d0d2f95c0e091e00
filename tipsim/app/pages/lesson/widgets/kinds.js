// What each kind of question is answered with; the only table of them in the browser.

import { choiceWidget } from "./choice.js";
import { goalWidget } from "./goal.js";
import { matchWidget } from "./match.js";
import { numberWidget } from "./number.js";
import { orderWidget } from "./order.js";
import { placeWidget } from "./place.js";
import { sketchWidget } from "./sketch.js";

const WIDGETS = {
  one: choiceWidget,
  several: choiceWidget,
  number: numberWidget,
  order: orderWidget,
  match: matchWidget,
  place: placeWidget,
  sketch: sketchWidget,
  goal: goalWidget,
};

/**
 * Make what a question is answered with. `answer()` is null when nothing is given yet, and `empty`
 * says so; `lock` gets what may be shown once an answer is stored, or null.
 * @param {any} data what the kind's `shown` gives
 * @param {(words: string) => void} say to screen readers
 * @param {() => Promise<any>} settings what is set in the experiment
 * @returns {{node: Element, empty: string, answer: () => any, show: (given: any) => void,
 *   lock: (revealed: any) => void}}
 */
export const widget = (data, say, settings) => WIDGETS[data.kind](data, say, settings);
