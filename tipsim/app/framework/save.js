// A file that the browser made, handed to the person.

import { make } from "./make.js";

/** @param {Blob} blob @param {string} name */
export function save(blob, name) {
  const link = make("a", { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000); // a person may be asked where to first
}
