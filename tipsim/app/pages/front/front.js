// The front page: the stage's own picture in motion, and the role that was chosen on this device.

import { render } from "../../framework/stage/stage.js";

const KEY = "tipsim-role";

/** The stage without its controls, in a root of its own: its styles stay there. @param {HTMLElement} place */
async function show(place) {
  const answer = await fetch(new URL("./front-motion", document.baseURI));
  const packet = new Uint8Array(await answer.arrayBuffer());
  const look = JSON.parse(place.dataset.look ?? "{}");
  const model = { packet, look, on: () => {}, send_msg: () => {} };
  // The sheet first: nothing is painted without it.
  const sheet = await (await fetch(new URL(place.dataset.styles ?? "", document.baseURI))).text();
  const style = document.createElement("style");
  style.textContent = `${sheet}
    .picture { height: ${place.clientHeight}px; border: 0; }
    .legend, .said, .controls > :not(.transport), .segments, .more, .phase { display: none !important; }
    .ts-stage { position: relative; }
    .controls { position: absolute; right: 0; top: 0; }`;
  place.attachShadow({ mode: "open" }).append(style, render({ model }));
}

const place = /** @type {HTMLElement | null} */ (document.querySelector(".moving"));
if (place) show(place);

// ---- the role ----

const read = () => {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
};

const mine = read();
for (const card of document.querySelectorAll("[data-role]")) {
  card.classList.toggle("mine", card.getAttribute("data-role") === mine);
}

document.addEventListener("click", ({ target }) => {
  const link = target instanceof Element ? target.closest("[data-choose]") : null;
  if (!link) return;
  try {
    localStorage.setItem(KEY, link.getAttribute("data-choose") ?? "");
  } catch {
    // Without storage the choice holds for this visit.
  }
});
