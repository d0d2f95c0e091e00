// The still pictures below the stage; drawn anew for each packet and each width.

import { AlongPlot } from "./along.js";
import { DirectionPlot, PathPlot } from "./markers.js";
import { decodePacket } from "../stage/packet.js";
import { make } from "../framework/make.js";

function bytes(packet) {
  if (packet instanceof ArrayBuffer) return packet;
  return packet.buffer.slice(packet.byteOffset, packet.byteOffset + packet.byteLength);
}

export function render({ model }) {
  const drawings = [new DirectionPlot(), new PathPlot()];
  const plots = [new AlongPlot(), ...drawings];
  const root = make("div", { className: "plots" }, ...plots.map((plot) => plot.node));
  const update = () => {
    if (!model.packet?.byteLength) return;
    const sides = decodePacket(bytes(model.packet));
    plots.forEach((plot) => plot.show(sides));
  };
  model.on("packet", update);
  let width = 0;
  new ResizeObserver(() => {
    if (root.clientWidth === width) return;
    width = root.clientWidth;
    drawings.forEach((plot) => plot.paint());
  }).observe(root);
  update();
  return root;
}
