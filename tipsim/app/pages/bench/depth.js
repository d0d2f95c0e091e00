// Sections that open below the still pictures; the page hears which are open and fills those.

import { fill, listen } from "../../framework/article.js";
import { ChartChoice } from "../../framework/chart_choice.js";
import { make } from "../../framework/make.js";
import { tell } from "../../framework/messenger.js";
import { decode } from "../../framework/packet.js";

/** Title of each section, and what the choice calls its charts. @type {Record<string, [string, object]>} */
const SECTIONS = {
  sensitivity: ["Sensitivity to small changes", {}],
  resonance: [
    "Resonance and natural modes",
    {
      "resonance.end": "Tip stroke",
      "resonance.shaft": "Shaft, sideways",
      "resonance.torque": "Hub torque",
      "resonance.force": "Hub force",
      "resonance.power": "Power in",
    },
  ],
  strength: ["Strength", { strength: "Stress" }],
  build_up: ["Build-up of a pulse", { "build-up": "Tip stroke" }],
};

/** @param {{model: any}} props */
export function render({ model }) {
  const root = make("div", { className: "article" });
  const boxes = Object.entries(SECTIONS).map(([name, [title, kinds]]) => {
    const wait = make("p", { className: "soft" }, "Computing …");
    const words = make("div", { className: "words" });
    const charts = new ChartChoice(kinds, "What is drawn over frequency");
    charts.select.hidden = charts.charts.length < 2;
    const box = make("details", { id: name }, make("summary", {}, title), wait, charts.select, charts.node, words);
    box.addEventListener("toggle", () => {
      const open = boxes.filter((each) => each.open).map(({ id }) => id);
      tell(model, { changes: [{ side: "both", field: "open", value: open }] });
    });
    const show = () => {
      const data = model[name]?.byteLength ? decode(model[name]) : null;
      wait.hidden = Boolean(data);
      charts.node.hidden = !data?.charts;
      if (!data) return;
      fill(words, data.html);
      if (data.charts) charts.show((kind) => data.charts[kind]);
    };
    model.on(name, show);
    model.on("remove", () => charts.remove());
    show();
    return box;
  });
  root.append(...boxes);
  listen(root, model);
  return root;
}
