// Who learns here: nickname and code stay in this browser, never in a link.

const KEY = "tipsim-learner";

/** {nickname, code}, or null when nobody is known here. */
function readLearner() {
  try {
    return JSON.parse(localStorage.getItem(KEY));
  } catch {
    return null;
  }
}

const PATIENCE_MS = 3000;

/** Say who is here until the server has answered: a first word may be lost while it connects. */
export function greet(send, answered) {
  send(readLearner()?.code ?? null);
  setTimeout(() => answered() || greet(send, answered), PATIENCE_MS);
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
