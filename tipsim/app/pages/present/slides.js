// A list of scenarios: in a link, on this device, and whether an address is one of ours. Pure.

export const MOST = 60;

/** @typedef {{name: string, link: string}} Slide */

/**
 * Return the address of a page here, without the server's name, or a sentence that says what is wrong.
 * @param {string} text as typed or pasted
 * @param {string} base address of the folder that the pages lie in
 * @param {string[]} paths of pages that can be shown
 * @returns {{link: string, wrong: string}}
 */
export function readLink(text, base, paths) {
  const none = (/** @type {string} */ wrong) => ({ link: "", wrong });
  if (!text.trim()) return none("Enter the address of a tipsim page.");
  let url;
  try {
    url = new URL(text.trim(), base);
  } catch {
    return none(`“${text.trim()}” is not an address.`);
  }
  const folder = new URL("./", base);
  if (url.origin !== folder.origin || !url.pathname.startsWith(folder.pathname)) {
    return none("Enter the address of a page of this tipsim server.");
  }
  const path = url.pathname.slice(folder.pathname.length);
  if (!paths.includes(path)) {
    return none(`“${path || "/"}” is not a page that can be shown. Pages: ${paths.join(", ")}.`);
  }
  return { link: path + url.search + url.hash, wrong: "" };
}

/**
 * Return the slides that a query holds, without those that cannot be shown.
 * @param {URLSearchParams} query
 * @param {(text: string) => {link: string}} read
 * @returns {Slide[]}
 */
export function fromQuery(query, read) {
  const names = query.getAll("name");
  return query
    .getAll("link")
    .slice(0, MOST)
    .map((text, i) => ({ name: (names[i] ?? "").slice(0, 120), link: read(text).link }))
    .filter(({ link }) => link);
}

/** @param {Slide[]} slides @returns {string} */
export function toQuery(slides) {
  const out = new URLSearchParams();
  for (const { name, link } of slides) {
    out.append("name", name);
    out.append("link", link);
  }
  return out.toString();
}

/**
 * Return a list with one of its slides moved.
 * @template T
 * @param {T[]} slides @param {number} from @param {number} to
 * @returns {T[]}
 */
export function moved(slides, from, to) {
  const out = [...slides];
  const [one] = out.splice(from, 1);
  if (one !== undefined) out.splice(Math.max(0, Math.min(to, slides.length - 1)), 0, one);
  return out;
}
