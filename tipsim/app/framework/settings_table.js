// The settings of a form as a table: paper has no sliders.

import { make } from "./make.js";

/** What a control is set to, in words. @param {any} control @param {any} value */
const words = ({ kind, options, unit }, value) => {
  if (kind === "switch") return value ? "on" : "off";
  if (options) return options.find((/** @type {any} */ option) => option.value === value)?.label ?? String(value);
  return `${value} ${unit ?? ""}`.trim();
};

/**
 * A table of all settings, group by group.
 * @param {any[]} schema of the form
 * @param {Record<string, any>} values as the server has confirmed them
 */
export function settingsTable(schema, values) {
  const rows = schema.flatMap(({ title, controls }) => [
    make("tr", {}, make("th", { colSpan: 2, scope: "colgroup" }, title)),
    ...controls.filter(({ kind }) => kind !== "add").map((/** @type {any} */ control) =>
      make(
        "tr",
        {},
        make("td", {}, control.label),
        make("td", {}, words(control, values[control.id] ?? control.value)),
      ),
    ),
  ]);
  return make("table", {}, make("caption", {}, "Settings"), make("tbody", {}, ...rows));
}
