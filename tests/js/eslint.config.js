// What ESLint asks of the browser scripts; the packages lie where deploy/check.py put them.

import { createRequire } from "node:module";

const tools = createRequire(`${process.env.TIPSIM_JS}/`);
const js = tools("@eslint/js");
const globals = tools("globals");

const rules = {
  ...js.configs.recommended.rules,
  eqeqeq: "error",
  "no-implicit-coercion": "error",
  "no-shadow": "error",
  "no-unused-vars": ["error", { argsIgnorePattern: "^_" }],
  "no-var": "error",
  "object-shorthand": "error",
  "prefer-const": "error",
};

export default [
  { files: ["tipsim/**/*.js", "assets/**/*.js"], rules, languageOptions: { globals: globals.browser } },
  { files: ["tests/js/**/*.js", "tests/js/**/*.mjs"], rules, languageOptions: { globals: globals.node } },
];
