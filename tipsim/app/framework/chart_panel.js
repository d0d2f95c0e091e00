// A chart by itself, with a packet of its own.

import { Chart } from "./chart.js";

/**
 * Read a packet of chart.py: JSON, whose arrays lie behind it as float32.
 * @param {Uint8Array | ArrayBuffer} packet
 * @returns {import("./chart_data.js").Data}
 */
export function unpack(packet) {
  const bytes = packet instanceof ArrayBuffer ? new Uint8Array(packet) : packet;
  const length = new DataView(bytes.buffer, bytes.byteOffset).getUint32(0, true);
  const numbers = new Float32Array(bytes.slice(4 + length).buffer);
  const get = (/** @type {string} */ _, /** @type {any} */ value) =>
    value?.float32 ? numbers.subarray(...value.float32) : value;
  return JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + length)), get);
}

/** @param {{ model: any }} props of Panel's component */
export function render({ model }) {
  const chart = new Chart(model.kind);
  const show = () => {
    if (model.packet?.byteLength) chart.show(unpack(model.packet));
  };
  model.on("packet", show);
  model.on("remove", () => chart.remove());
  show();
  return chart.node;
}
