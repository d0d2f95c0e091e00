// Light, dark or as the system has it; runs before the page is painted.
(() => {
  const root = document.documentElement;
  // Inside a lesson's frame a page does without its own head and foot.
  if (window.self !== window.top) root.dataset.framed = "";
  const key = "tipsim-theme";
  const read = () => {
    try {
      return localStorage.getItem(key);
    } catch {
      return null;
    }
  };
  const wanted = read();
  if (wanted === "light" || wanted === "dark") root.dataset.theme = wanted;

  const dark = () =>
    root.dataset.theme ? root.dataset.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;

  document.addEventListener("DOMContentLoaded", () => {
    // There all of it is in sight, as the lesson's words say; the list of every number is asked for.
    const most = "details.fold:not(#fold-sources)";
    const folds = "framed" in root.dataset ? document.querySelectorAll(most) : [];
    for (const fold of folds) fold.setAttribute("open", "");
    const button = document.querySelector("[data-theme-switch]");
    if (!button) return;
    const say = () => {
      button.textContent = dark() ? "Light colours" : "Dark colours";
    };
    button.addEventListener("click", () => {
      root.dataset.theme = dark() ? "light" : "dark";
      try {
        localStorage.setItem(key, root.dataset.theme);
      } catch {
        // Without storage the choice holds for this page.
      }
      say();
    });
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", say);
    say();
    // Once: the loader of Panel's modules sends the event a second time.
  }, { once: true });
})();
