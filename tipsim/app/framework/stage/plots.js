// Still pictures below the stage: curves along the shaft, and what the server draws of the markers.

import { article } from "../article.js";
import { ChartChoice } from "../chart_choice.js";
import { make } from "../make.js";
import { decode } from "../packet.js";

const KINDS = {
  "along.sideways": "Sideways stroke",
  "along.signed": "In step or out of step with the tip",
  "along.lengthwise": "Along the shaft",
  "along.turning": "Surface motion from twist",
  "along.rigid": "Stroke if the needle were rigid",
  "along.parts_a": "What A's motion is made of",
  "along.parts_b": "What B's motion is made of",
  "along.power": "Power on its way to the tip",
  "along.coupling": "How far the sleeve follows",
};

/** @param {{model: any}} props */
export function render({ model }) {
  const choice = new ChartChoice(KINDS, "What is drawn along the shaft");
  const show = () => {
    if (!model.packet?.byteLength) return;
    const data = decode(model.packet);
    choice.show((name) => data[name]);
  };
  model.on("packet", show);
  model.on("remove", () => choice.remove());
  show();
  const top = make("div", { className: "top" }, make("h2", {}, "Motion along the shaft"), choice.select);
  return make("div", { className: "article" }, make("section", {}, top, choice.node), article(model));
}
