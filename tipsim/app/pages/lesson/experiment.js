// The experiment of a step: the bench itself, or another page in a frame.

import { make } from "../../framework/make.js";

const LONGEST_WAIT = 200;
const LOWEST_PX = 100; // of a scene that is drawn
const PARTS = ["stage", "controls", "plots", "readout"];

const ONLY_THE_SCENE = `
  :is(.skip, .site-head, .site-foot, .page-head, aside), main section:not(#scene, #film, #board, #iris),
  main > :not(#scene, #film, #board, #iris, :has(#scene, #film, #board, #iris)) {
    display: none !important;
  }
  main.page { display: block !important; padding: 0 !important; }
  :is(#scene, #film, #board, #iris) { min-height: 0 !important; }
`;

const NO_TALLER_THAN_NEEDED = ":is(html, body, .page, .page > section) { min-height: 0 !important; }";

/** Of a scene itself: the drawing and its bar, without examples, actions and charts. */
const ONLY_THE_DRAWING = `
  .scene :is(.examples, .ready, .actions, .over-time, .along, .note, .saving), .screen ~ section {
    display: none !important;
  }
  .scene .run { display: block !important; }
  .scene .screen { min-height: calc(2em + 100px) !important; }
`;

const pause = (ms) => new Promise((go) => setTimeout(go, ms));

/** Whether a form in a page, or in a part of it, waits for its server. */
function busy(root) {
  if (root.querySelector("form[aria-busy='true']")) return true;
  return [...root.querySelectorAll("*")].some(({ shadowRoot }) => shadowRoot && busy(shadowRoot));
}

/** Return the first element of a document or of what is drawn in its shadows. */
function deep(root, selector) {
  const found = root.querySelector(selector);
  if (found) return found;
  for (const { shadowRoot } of root.querySelectorAll("*")) {
    const inner = shadowRoot && deep(shadowRoot, selector);
    if (inner) return inner;
  }
  return null;
}

/** Fills the places that the markup of a step in `page` has for it. */
export class Experiment {
  constructor(model, page) {
    this.page = page;
    this.parts = Object.fromEntries(PARTS.map((name) => [name, model.get_child(name)]));
    // Panel draws only parts that hang somewhere: they wait here while no step shows them.
    this.shelf = make("div", { hidden: true }, ...Object.values(this.parts));
    this.growth = new ResizeObserver(() => this.grown());
    window.addEventListener("scroll", () => this.note(), { passive: true });
    // Where each frame had got to when its step was left.
    this.left = new Map();
    page.addEventListener("toggle", () => this.fill(), true);
    page.addEventListener("click", ({ target }) => (this.pressed ||= target.matches(".run")));
  }

  fill() {
    this.watch(this.page.querySelector(".experiment"));
    for (const [name, part] of Object.entries(this.parts)) {
      const place = this.page.querySelector(`[data-slot="${name}"]`) ?? this.shelf;
      if (part.parentNode !== place) place.append(part);
    }
    if (this.page.querySelector("[data-slot='stage'].opening")) this.play();
    const place = this.page.querySelector(".frame");
    // While one says what was seen, the long page waits until it is asked for.
    const asked = place && !place.closest("details:not([open])");
    if (asked && place.firstChild?.dataset.address !== place.dataset.address) this.frame(place);
    if (this.pressed && this.page.querySelector(".experiment > :not(.run)")) this.move();
  }

  watch(experiment) {
    if (experiment === this.watched) return;
    this.growth.disconnect();
    this.watched = experiment;
    this.note();
    if (experiment) this.growth.observe(experiment);
  }

  /** How high what is watched is, and where on the screen it ends. */
  note() {
    this.height = this.watched?.offsetHeight ?? 0;
    this.bottom = this.watched?.getBoundingClientRect().bottom ?? 0;
  }

  /** What comes in grows for a while: what is seen below it stays under the pointer meanwhile. */
  grown() {
    const by = this.watched.offsetHeight - this.height;
    const { top, bottom } = this.watched.getBoundingClientRect();
    // At the end of a page that shrinks, the browser has scrolled already.
    const moved = bottom - this.bottom;
    const rest = by < 0 ? Math.min(0, Math.max(by, moved)) : Math.max(0, Math.min(by, moved));
    if (top < 0 && bottom - by < window.innerHeight) window.scrollBy({ top: rest, behavior: "instant" });
    this.note();
  }

  frame(place) {
    const { address, title } = place.dataset;
    const frame = make("iframe", { src: this.left.get(address) ?? address, title });
    frame.dataset.address = address;
    frame.addEventListener("load", () => {
      const inside = frame.contentDocument?.body;
      if (!inside) return;
      // As high as what is in it, so that only the page scrolls.
      // A page that fills its window would grow with the frame that grows with it.
      frame.contentDocument.head.append(make("style", {}, NO_TALLER_THAN_NEEDED));
      if (place.matches(".opening")) this.open(frame);
      const size = () => {
        frame.style.height = `${Math.ceil(inside.getBoundingClientRect().height) + 2}px`;
        // At once: this page's own observer has had its turn in this picture already.
        if (this.watched?.contains(frame)) this.grown();
      };
      new ResizeObserver(size).observe(inside);
      size();
    });
    place.replaceChildren(frame);
  }

  /** The first picture of a lesson: only the scene of a page, playing. */
  open(frame) {
    const inside = frame.contentDocument;
    inside.head.append(make("style", {}, ONLY_THE_SCENE));
    let looks = 0;
    let trimmed = false;
    const trim = () => {
      const scene = deep(inside, ".scene");
      if (scene && !trimmed) scene.getRootNode().append(make("style", {}, ONLY_THE_DRAWING));
      trimmed ||= Boolean(scene);
      // The room kept for what was to come is given back once that is there: not to what is empty yet.
      if (scene && inside.body.getBoundingClientRect().height > LOWEST_PX) frame.style.minHeight = "0";
      else if (looks++ < LONGEST_WAIT) setTimeout(trim, 50);
    };
    trim();
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    let tries = 0;
    const begin = () => {
      const play = deep(inside, "button.play");
      if (play) return play.textContent === "Pause" || play.click();
      if (tries++ < LONGEST_WAIT) setTimeout(begin, 50);
    };
    begin();
  }

  /** A bench that opens a lesson moves by itself, once. */
  play() {
    if (this.opened || matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    this.opened = true;
    let tries = 0;
    const begin = () => {
      const stage = this.parts.stage.shadowRoot?.querySelector(".ts-stage");
      if (stage?.tipsim) stage.tipsim.play();
      else if (tries++ < LONGEST_WAIT) setTimeout(begin, 50);
    };
    begin();
  }

  /** After Run: set it going, and go to it by keyboard. */
  move() {
    this.pressed = false;
    setTimeout(() => {
      const frame = this.page.querySelector("iframe");
      const stage = this.parts.stage.shadowRoot?.querySelector(".ts-stage");
      if (frame || !stage) return frame?.focus();
      if (!matchMedia("(prefers-reduced-motion: reduce)").matches) stage.tipsim.play();
      stage.querySelector("canvas[tabindex]")?.focus();
    }, 0);
  }

  /** Where each frame has got to, by the address that its step gave it. */
  places() {
    const frame = this.page.querySelector("iframe");
    if (frame) this.left.set(frame.dataset.address, frame.contentWindow.location.href);
    return this.left;
  }

  /** Before a new step: where a frame has got to is noted, and the parts are kept from going. */
  rest() {
    this.places();
    this.shelf.append(...Object.values(this.parts));
  }

  /** What is set: the server knows the bench; a framed page has it in its address, a moment later. */
  async settings() {
    const inside = this.page.querySelector("iframe")?.contentWindow;
    const form = inside ? inside.document : this.parts.controls.shadowRoot;
    for (let tries = 0; tries < LONGEST_WAIT && busy(form); tries++) await pause(50);
    if (!inside) return {};
    // As when it is left: what still waits to be written into the address is written now.
    inside.dispatchEvent(new Event("pagehide"));
    return { query: inside.location.search };
  }
}
