// Scenarios one after the other: the list, and the screen that shows them.

import { make } from "../../framework/make.js";
import { MOST, fromQuery, moved, readLink, toQuery } from "./slides.js";

const KEY = "tipsim-presentation";
const LARGEST = 1.8;
// Only sentence, numbers and picture of a page are shown, as large as they fit.
const ONLY = `
  .page-head, .tabs, .folds, .pin-tools, .new-here, .site-head, .site-foot, .skip,
  main.page > :not(.shown) { display: none !important; }
  main.page { display: block !important; max-width: none !important; padding: 8px 16px !important; }
  main.page > .shown { margin: 0 0 8px !important; }
  #glance .headline { font-size: clamp(1.5rem, 2.6vw, 3rem) !important; }
  #glance dd { font-size: clamp(1.2rem, 1.8vw, 2rem) !important; }
`;

const main = /** @type {HTMLElement} */ (document.querySelector("main.present"));
const paths = JSON.parse(main.dataset.paths ?? "[]");
const read = (/** @type {string} */ text) => readLink(text, document.baseURI, paths);
const list = /** @type {HTMLElement} */ (main.querySelector(".slides"));
const form = /** @type {HTMLFormElement} */ (main.querySelector("form"));
const show = /** @type {HTMLDialogElement} */ (document.querySelector("dialog.show"));
const qr = /** @type {HTMLDialogElement} */ (document.querySelector("dialog.qr"));

let slides = /** @type {import("./slides.js").Slide[]} */ ([]);
let at = 0;

// ---- what is kept on this device ----

function kept() {
  try {
    const found = JSON.parse(localStorage.getItem(KEY) ?? "[]");
    return found.map(({ name, link }) => ({ name: String(name), link: read(String(link)).link })).filter((s) => s.link);
  } catch {
    return [];
  }
}

function keep() {
  try {
    localStorage.setItem(KEY, JSON.stringify(slides));
  } catch {
    say("This browser keeps nothing: copy the link to keep the list.");
  }
  draw();
}

const say = (/** @type {string} */ words) => {
  /** @type {HTMLElement} */ (main.querySelector(".said")).textContent = words;
};

// ---- the list ----

function draw() {
  list.replaceChildren(
    ...slides.map((slide, i) => {
      const button = (label, text, click) => make("button", { type: "button", "aria-label": label, click }, text);
      const name = make("input", {
        value: slide.name,
        maxlength: 120,
        "aria-label": `Title of scenario ${i + 1}`,
        change: () => {
          slides[i] = { ...slide, name: name.value };
          keep();
        },
      });
      const words = slide.name || slide.link;
      const line = make(
        "div", {}, name, make("a", { href: `./${slide.link}` }, slide.link),
        button(`Move ${words} up`, "↑", () => shift(i, i - 1)),
        button(`Move ${words} down`, "↓", () => shift(i, i + 1)),
        button(`Remove ${words}`, "Remove", () => {
          slides.splice(i, 1);
          keep();
          say(`Removed ${words}.`);
        }),
      );
      return make("li", {}, line);
    }),
  );
}

function shift(from, to) {
  if (to < 0 || to >= slides.length) return;
  slides = moved(slides, from, to);
  keep();
  const buttons = list.children[to]?.querySelectorAll("button");
  buttons?.[to < from ? 0 : 1]?.focus();
}

function add(name, text) {
  const { link, wrong } = read(text);
  const many = slides.length >= MOST ? `A list has at most ${MOST} scenarios.` : "";
  if (wrong || many) return wrong || many;
  slides.push({ name: name.trim() || link, link });
  keep();
  say(`Added ${name.trim() || link}.`);
  return "";
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  const field = (name) => /** @type {HTMLInputElement} */ (form.elements.namedItem(name));
  const wrong = add(field("name").value, field("link").value);
  /** @type {HTMLElement} */ (form.querySelector(".wrong")).textContent = wrong;
  field("link").setAttribute("aria-invalid", String(Boolean(wrong)));
  if (wrong) field("link").focus();
  else form.reset();
});

// ---- the screen ----

function go(to) {
  if (to < 0 || to >= slides.length) return;
  at = to;
  const slide = slides[at];
  const frame = make("iframe", { title: slide.name, src: `./${slide.link}` });
  frame.addEventListener("load", () => fill(frame));
  /** @type {HTMLElement} */ (show.querySelector(".slide")).replaceChildren(frame);
  const where = `${at + 1} of ${slides.length}: ${slide.name}`;
  /** @type {HTMLElement} */ (show.querySelector(".where")).textContent = where;
  for (const [act, off] of [["back", at === 0], ["next", at === slides.length - 1]]) {
    /** @type {HTMLButtonElement} */ (show.querySelector(`[data-act="${act}"]`)).disabled = Boolean(off);
  }
}

/** Keep sentence and picture of the page, and make them as large as fits. */
function fill(frame) {
  const inside = frame.contentDocument;
  if (!inside) return;
  inside.addEventListener("keydown", (event) => /^(PageDown|PageUp|Escape)$/.test(event.key) && onKey(event));
  const glance = inside.querySelector("#glance");
  const page = inside.querySelector("main.page");
  if (!glance || !page) return;
  const picture = [...page.querySelectorAll(":scope > section[id]")]
    .find((part) => part !== glance && !part.querySelector("form") && part.id !== "controls");
  for (const part of [glance, picture]) part?.classList.add("shown");
  inside.head.append(make("style", {}, ONLY));
  const room = () => {
    const height = frame.clientHeight;
    let zoom = LARGEST;
    for (let k = 0; k < 8; k++) {
      inside.body.style.zoom = String(zoom);
      if (inside.documentElement.scrollHeight <= height + 2 || zoom <= 1) break;
      zoom = Math.max(1, zoom - 0.1);
    }
  };
  new ResizeObserver(room).observe(frame);
  new ResizeObserver(room).observe(page);
}

function start() {
  if (!slides.length) return say("The list is empty. Add a scenario, or use the example list.");
  show.showModal();
  go(0);
}

function end() {
  if (document.fullscreenElement) document.exitFullscreen();
  /** @type {HTMLElement} */ (show.querySelector(".slide")).replaceChildren();
  show.close();
}

function code() {
  const address = new URL(slides[at].link, document.baseURI).href;
  const picture = /** @type {HTMLImageElement} */ (qr.querySelector("img"));
  const note = /** @type {HTMLElement} */ (qr.querySelector(".note"));
  const here = /^(localhost|127\.|\[::1\])/.test(location.host);
  note.textContent = here
    ? "This address works on this computer only. Serve tipsim on the room's network for others."
    : "";
  picture.alt = `QR code of ${slides[at].name}`;
  picture.hidden = false;
  picture.onerror = () => {
    picture.hidden = true;
    note.textContent = "This scenario's address is too long for a QR code. Hand out the link instead.";
  };
  picture.src = `./qr.svg?link=${encodeURIComponent(address)}`;
  /** @type {HTMLElement} */ (qr.querySelector(".address")).textContent = address;
  qr.showModal();
}

function onKey(event) {
  if (!show.open || qr.open || event.ctrlKey || event.metaKey || event.altKey) return;
  const onButton = event.target instanceof HTMLButtonElement && event.key === " ";
  const acts = {
    PageDown: () => go(at + 1), ArrowRight: () => go(at + 1), " ": () => go(at + 1),
    PageUp: () => go(at - 1), ArrowLeft: () => go(at - 1),
    f: () => full(), q: () => code(), Escape: () => end(),
  };
  const act = acts[event.key];
  if (!act || onButton) return;
  event.preventDefault();
  act();
}

function full() {
  if (document.fullscreenElement) document.exitFullscreen();
  else show.requestFullscreen?.().catch(() => {});
}

async function copy() {
  const address = new URL(`./present?${toQuery(slides)}`, document.baseURI).href;
  try {
    await navigator.clipboard.writeText(address);
    say("Copied. The link holds the whole list.");
  } catch {
    history.replaceState(null, "", address);
    say("The address of this page now holds the whole list: copy it from there.");
  }
}

const acts = {
  show: start, copy, end, full, qr: code,
  back: () => go(at - 1),
  next: () => go(at + 1),
  close: () => qr.close(),
  example: () => {
    slides = JSON.parse(main.dataset.example ?? "[]");
    keep();
    say("This is the example list. Change it as you like.");
  },
  empty: () => {
    slides = [];
    keep();
    say("The list is empty.");
  },
};
document.addEventListener("click", ({ target }) => {
  const button = target instanceof Element ? target.closest("[data-act]") : null;
  acts[button?.getAttribute("data-act") ?? ""]?.();
});
document.addEventListener("keydown", onKey);
show.addEventListener("cancel", (event) => {
  event.preventDefault();
  end();
});

// ---- what the address brings ----

const query = new URLSearchParams(location.search);
const brought = fromQuery(query, read);
slides = brought.length ? brought : kept();
draw();
if (query.has("add")) {
  const wrong = add(query.get("name") ?? "", query.get("add") ?? "");
  if (wrong) say(wrong);
  // A reload must not add it again.
  history.replaceState(null, "", location.pathname);
}
