// A file that the browser made, handed to the person.

import { make } from "./make.js";

/** @param {Blob} blob @param {string} name */
export function save(blob, name) {
  const link = make("a", { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000); // a person may be asked where to first
}

/**
 * Fetch a file that the server makes, and hand it over; return what to say of it.
 * @param {string} address
 */
export async function fetchAndSave(address) {
  const answer = await fetch(address).catch(() => null);
  if (!answer) return "The server does not answer; nothing was saved.";
  if (!answer.ok) return answer.text();
  const named = /filename="([^"]+)"/.exec(answer.headers.get("Content-Disposition") ?? "");
  save(await answer.blob(), named?.[1] ?? "tipsim-simulated.zip");
  return "Saved; the file says that it is simulated.";
}

/**
 * A button that fetches a film with its truth, and what is said of it.
 * @param {string} label @param {() => string} address
 * @param {(words: string) => void} say
 */
export function filmButton(label, address, say) {
  const button = make("button", { type: "button" }, label);
  button.addEventListener("click", async () => {
    button.disabled = true;
    say("The film is being written.");
    say(await fetchAndSave(address()));
    button.disabled = false;
  });
  return button;
}
