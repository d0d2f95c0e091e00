// Numbers as text: so many digits as are sure, thousands apart, a true minus.

const MINUS = "\u2212";
const APART = "\u202f";

/**
 * Write a number with at most `digits` significant digits, thousands apart.
 * @param {number | null | undefined} value
 * @param {number} [digits]
 * @returns {string} "–" for no number
 */
export function numberText(value, digits = 3) {
  if (value === null || value === undefined || !Number.isFinite(value)) return "–";
  if (value === 0) return "0";
  const size = Math.floor(Math.log10(Math.abs(value)));
  const places = Math.min(12, Math.max(0, digits - 1 - size));
  const text = Math.abs(value).toFixed(places);
  const [whole, part = ""] = text.split(".");
  const short = part.replace(/0+$/, "");
  const apart = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, APART) : whole;
  const sign = value < 0 && Number(text) !== 0 ? MINUS : "";
  return sign + apart + (short ? `.${short}` : "");
}

/**
 * Write a number for a file: a decimal point, nothing between thousands.
 * @param {number | null | undefined} value
 * @returns {string} "" for no number
 */
export function plainNumber(value) {
  return value === null || value === undefined || !Number.isFinite(value) ? "" : String(Number(value.toPrecision(7)));
}
