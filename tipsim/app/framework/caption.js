// A picture with words below it, for files.

const SIZE = 13; // px of the words on a picture of ordinary density

/**
 * Cut a text into lines that fit.
 * @param {CanvasRenderingContext2D} pen @param {string} text @param {number} width
 */
export function wrapped(pen, text, width) {
  /** @type {string[]} */
  const lines = [];
  for (const word of text.split(" ").filter(Boolean)) {
    const longer = lines.length ? `${lines[lines.length - 1]} ${word}` : word;
    if (lines.length && pen.measureText(longer).width <= width) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
}

/**
 * A canvas with words below what is on it.
 * @param {HTMLCanvasElement} picture @param {string} text
 * @param {{ paper: string, ink: string, density?: number }} looks
 */
export function captioned(picture, text, { paper, ink, density = 1 }) {
  const out = document.createElement("canvas");
  const measure = out.getContext("2d");
  if (!measure || !text) return picture;
  const [size, edge] = [SIZE * density, 8 * density];
  const font = `${size}px sans-serif`;
  measure.font = font;
  const lines = wrapped(measure, text, picture.width - 2 * edge);
  out.width = picture.width;
  out.height = picture.height + lines.length * size * 1.35 + 2 * edge;
  const pen = out.getContext("2d");
  if (!pen) return picture;
  pen.fillStyle = paper;
  pen.fillRect(0, 0, out.width, out.height);
  pen.drawImage(picture, 0, 0);
  pen.font = font;
  pen.fillStyle = ink;
  lines.forEach((line, i) => pen.fillText(line, edge, picture.height + edge + size * (1 + 1.35 * i)));
  return out;
}
