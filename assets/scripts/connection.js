// Says at once that the server is gone, waits until it answers, and brings the page back as it was.
//
// A page's address holds what is set, so the page is opened anew at it. How far one has scrolled and
// which folds are open is kept here. What else the address does not hold (what is half typed) the
// page's scripts keep: they hear "tipsim:lost" and put it into `tipsimReturn.keep`, and take it from
// `tipsimReturn.kept` on the page that follows.
(() => {
  const KEY = "tipsim-return";
  const LONGEST_WAIT_MS = 2000;
  const PATIENCE_MS = 8000;
  const framed = window.self !== window.top;
  let leaving = false;
  let gone = false;

  const here = () => location.pathname + location.search;
  const taken = () => {
    try {
      const found = JSON.parse(sessionStorage.getItem(KEY));
      sessionStorage.removeItem(KEY);
      return found?.address === here() ? { ...found.keep, scroll: found.scroll, folds: found.folds } : null;
    } catch {
      return null;
    }
  };
  const kept = framed ? null : taken();
  const keep = {};
  Object.assign(window, { tipsimReturn: { kept, keep } });

  const reaches = async () => {
    try {
      const signal = AbortSignal.timeout(PATIENCE_MS);
      return (await fetch("assets/icons/favicon.svg", { cache: "no-store", method: "HEAD", signal })).ok;
    } catch {
      return false;
    }
  };

  const back = () => {
    const folds = Array.from(document.querySelectorAll("details.fold[open]"), ({ id }) => id);
    try {
      sessionStorage.setItem(KEY, JSON.stringify({ address: here(), scroll: scrollY, folds, keep }));
    } catch {
      // Without storage the address alone brings the page back.
    }
    location.reload();
  };

  /** @type {(value?: any) => void} */
  let wake = () => {};
  const wait = async () => {
    for (let ms = 250; !(await reaches()); ms = Math.min(LONGEST_WAIT_MS, 2 * ms)) {
      await new Promise((go) => {
        wake = go;
        setTimeout(go, ms);
      });
    }
    back();
  };

  const lost = () => {
    if (leaving || gone) return;
    gone = true;
    // Shown values go back to what the server has confirmed, and half-typed words are kept.
    window.dispatchEvent(new Event("tipsim:lost"));
    document.documentElement.dataset.lost = "";
    for (const main of document.querySelectorAll("main")) main.inert = true;
    if (framed) return;
    const banner = /** @type {HTMLElement | null} */ (document.querySelector("#connection"));
    if (banner) {
      banner.hidden = false;
      banner.querySelector("p").textContent =
        "Connection lost. The page shows what was last confirmed, and comes back as soon as the server answers.";
      banner.querySelector("button").addEventListener("click", () => wake());
    }
    wait();
  };

  const Own = window.WebSocket;
  window.WebSocket = class extends Own {
    /** @param {string | URL} address @param {string | string[]} [protocols] */
    constructor(address, protocols) {
      super(address, protocols);
      this.addEventListener("close", lost);
    }
  };

  const doubt = async () => {
    if (!gone && !leaving && !(await reaches())) lost();
  };
  window.addEventListener("offline", doubt);
  window.addEventListener("tipsim:unanswered", doubt);
  window.addEventListener("pagehide", () => (leaving = true));
  // Out of the browser's own memory a page comes back without its connection.
  window.addEventListener("pageshow", ({ persisted }) => persisted && location.reload());

  // ---- the page that follows ----

  if (!kept) return;
  // Where one had scrolled to, once the page is that long; not after the reader scrolls.
  const settle = () => {
    if (document.documentElement.scrollHeight >= kept.scroll + innerHeight) scrollTo(0, kept.scroll);
  };
  document.addEventListener("DOMContentLoaded", () => {
    for (const id of kept.folds) document.getElementById(id)?.setAttribute("open", "");
    const grown = new ResizeObserver(settle);
    for (const main of document.querySelectorAll("main")) grown.observe(main);
    const enough = () => grown.disconnect();
    for (const type of ["wheel", "touchstart", "keydown", "pointerdown"]) {
      window.addEventListener(type, enough, { once: true, passive: true });
    }
  }, { once: true });
})();
