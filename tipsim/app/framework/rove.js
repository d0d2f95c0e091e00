// One stop of the Tab key for several controls of a kind: arrows, Home and End lead from one to the next.

const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

/**
 * Let Tab stop once within a node: at the control that had the focus last, else at the first.
 * Returns a function to be called when controls came or went.
 * @param {HTMLElement} node
 * @param {string} selector of its controls
 * @returns {() => void}
 */
export function rove(node, selector) {
  /** @type {HTMLElement | null} */
  let last = null;
  const all = () => /** @type {HTMLElement[]} */ ([...node.querySelectorAll(selector)]);
  const seen = () => all().filter((one) => !one.matches(":disabled") && one.getClientRects().length);
  const fresh = () => {
    const there = seen();
    const controls = all();
    const stop = last && there.includes(last) ? last : (there[0] ?? controls[0]);
    for (const one of controls) one.tabIndex = one === stop ? 0 : -1;
  };
  node.addEventListener("focusin", ({ target }) => {
    const one = target instanceof Element ? target.closest(selector) : null;
    if (!(one instanceof HTMLElement)) return;
    last = one;
    fresh();
  });
  node.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
    const from = event.target instanceof Element ? event.target.closest(selector) : null;
    if (!(from instanceof HTMLElement)) return;
    const controls = seen();
    const ends = { Home: 0, End: controls.length - 1 };
    const step = STEPS[/** @type {keyof typeof STEPS} */ (event.key)];
    const to = step ? controls.indexOf(from) + step : ends[/** @type {keyof typeof ends} */ (event.key)];
    if (to === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    controls.at(to % controls.length)?.focus();
  });
  // What a fold hid when the controls came may be seen later.
  new ResizeObserver(fresh).observe(node);
  return fresh;
}
