// Links from page to page take the query along: what is set on one page is there on the next.
// What only the drawing board or a lesson knows stays there.
(() => {
  const stays = (name) => ["edit", "id", "begin", "answers"].includes(name) || name.startsWith("draft.");

  const carry = (event) => {
    const link = event.target.closest?.(".site-head nav a, a[data-carry]");
    if (!link) return;
    const kept = [...new URLSearchParams(location.search)].filter(([name]) => !stays(name));
    const query = new URLSearchParams(kept).toString().replaceAll("%2C", ",").replaceAll("%3A", ":");
    link.search = query;
  };

  /** The link to the presentation takes this view along, with the sentence that it says. */
  const present = (event) => {
    const link = event.target.closest?.("a[data-present]");
    const page = document.querySelector("main.page");
    if (!link || !page) return;
    const words = document.querySelector("main .headline") ?? document.querySelector("main h1");
    const here = location.pathname.slice(new URL("./", document.baseURI).pathname.length) + location.search;
    link.search = new URLSearchParams({ add: here, name: words?.textContent?.trim().slice(0, 120) ?? "" }).toString();
  };

  for (const type of ["pointerover", "focusin", "click"]) {
    document.addEventListener(type, carry);
    document.addEventListener(type, present);
  }

  // ---- groups of pages, and on a phone the menu: one is open at a time ----

  /** @type {NodeListOf<HTMLElement>} */
  const openers = document.querySelectorAll(".site-head [aria-controls]");
  const isOpen = (/** @type {Element} */ node) => node.getAttribute("aria-expanded") === "true";
  const close = (/** @type {Element | null} */ but) => {
    for (const each of openers) {
      const around = but?.closest("nav") && each.matches(".menu");
      if (each !== but && !around) each.setAttribute("aria-expanded", "false");
    }
  };
  document.addEventListener("click", ({ target }) => {
    const opener = target instanceof Element ? target.closest(".site-head [aria-controls]") : null;
    const inside = target instanceof Element && target.closest(".site-head nav");
    if (opener || !inside) close(opener);
    opener?.setAttribute("aria-expanded", String(!isOpen(opener)));
  });
  document.addEventListener("keydown", ({ key }) => {
    const open = [...openers].findLast(isOpen);
    if (key !== "Escape" || !open) return;
    close(null);
    open.focus();
  });
  document.addEventListener("focusin", ({ target }) => {
    if (target instanceof Element && !target.closest(".site-head")) close(null);
  });

  // ---- settings on a phone: a sheet that opens and closes ----

  const opener = () => document.querySelector(".sheet-opener");
  const turn = (/** @type {boolean} */ open) => {
    opener()?.setAttribute("aria-expanded", String(open));
    const node = opener();
    if (node) node.textContent = open ? "Close" : "Settings";
  };
  document.addEventListener("click", ({ target }) => {
    if (target instanceof Element && target.closest(".sheet-opener") && opener()) {
      turn(opener()?.getAttribute("aria-expanded") !== "true");
    }
  });
  document.addEventListener("keydown", ({ key }) => key === "Escape" && turn(false));

  // ---- views of a page that are shown one at a time; in a lesson's frame all of them ----

  const tabs = () => [...document.querySelectorAll("[data-tab]")];
  const showTab = (/** @type {string} */ name) => {
    const all = "framed" in document.documentElement.dataset;
    if (!tabs().some((tab) => tab.getAttribute("data-tab") === name)) return;
    for (const tab of tabs()) {
      if (tab.getAttribute("data-tab") === name) tab.setAttribute("aria-current", "true");
      else tab.removeAttribute("aria-current");
    }
    for (const part of document.querySelectorAll("[data-in-tab]")) {
      part.toggleAttribute("hidden", !all && part.getAttribute("data-in-tab") !== name);
    }
  };
  const byHash = () => showTab(location.hash.slice(1) || (tabs()[0]?.getAttribute("data-tab") ?? ""));
  document.addEventListener("click", (event) => {
    const tab = event.target instanceof Element ? event.target.closest("[data-tab]") : null;
    if (!tab) return;
    event.preventDefault();
    const name = tab.getAttribute("data-tab") ?? "";
    // Which view is shown is no step that is taken back.
    history.replaceState(history.state, "", `#${name}`);
    showTab(name);
  });
  window.addEventListener("hashchange", byHash);
  document.addEventListener("DOMContentLoaded", byHash, { once: true });
  if (document.readyState !== "loading") byHash();

  // A link that could not be used whole: its address as it was pasted, before anything was changed.
  const pasted = location.href;
  document.addEventListener("click", ({ target }) => {
    const banner = target instanceof Element ? target.closest("#bad-link") : null;
    if (!banner || !(target instanceof Element)) return;
    if (target.matches("[data-dismiss]")) banner.remove();
    if (!target.matches("[data-restore]")) return;
    if (location.href === pasted) location.reload();
    else location.assign(pasted);
  });
})();
