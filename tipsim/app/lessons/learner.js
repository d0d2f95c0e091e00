// Who learns here: nickname and code stay in this browser, never in a link.

const KEY = "tipsim-learner";

/** {nickname, code}, or null when nobody is known here. */
export function readLearner() {
  try {
    return JSON.parse(localStorage.getItem(KEY));
  } catch {
    return null;
  }
}

/** Keep who learns here; null forgets. */
export function writeLearner(learner) {
  try {
    if (learner) localStorage.setItem(KEY, JSON.stringify(learner));
    else localStorage.removeItem(KEY);
  } catch {
    // Without storage the code must be typed each time.
  }
}
