import assert from "node:assert/strict";
import { test } from "node:test";
import { morph } from "../../tipsim/app/framework/morph.js";

// The few properties of elements that `morph` reads and writes, so that no browser is needed.
class Node {
  constructor(name, value = null) {
    Object.assign(this, { nodeName: name, nodeValue: value, childNodes: [], parent: null });
  }
  remove() {
    this.parent.childNodes = this.parent.childNodes.filter((one) => one !== this);
  }
  insertBefore(child, next) {
    child.parent?.childNodes.splice(child.parent.childNodes.indexOf(child), 1);
    child.parent = this;
    const at = next ? this.childNodes.indexOf(next) : this.childNodes.length;
    this.childNodes.splice(at, 0, child);
  }
}
class Element extends Node {
  constructor(name, attributes = {}, ...children) {
    super(name);
    this.map = new Map(Object.entries(attributes));
    for (const child of children) this.insertBefore(typeof child === "string" ? new Node("#text", child) : child, null);
  }
  get attributes() {
    return [...this.map].map(([name, value]) => ({ name, value }));
  }
  get id() {
    return this.map.get("id") ?? "";
  }
  hasAttribute(name) {
    return this.map.has(name);
  }
  getAttribute(name) {
    return this.map.get(name) ?? null;
  }
  setAttribute(name, value) {
    this.map.set(name, value);
  }
  removeAttribute(name) {
    this.map.delete(name);
  }
  matches(selector) {
    return selector.split(", ").includes(`.${this.map.get("class")}`);
  }
}
Object.assign(globalThis, { Element });
const el = (name, attributes, ...children) => new Element(name, attributes, ...children);
const text = (node) => node.nodeValue ?? node.childNodes.map(text).join("|");

test("text that differs is replaced in the element that stands there", () => {
  const value = el("TD", {}, "1 mm");
  const root = el("TR", {}, value);
  morph(root, el("TR", {}, el("TD", {}, "2 mm")));
  assert.equal(root.childNodes[0], value);
  assert.equal(text(value), "2 mm");
});

test("what a reader opened stays open, other attributes follow", () => {
  const open = el("DETAILS", { open: "", class: "old" });
  const why = el("P", { class: "why", id: "why-a" });
  const root = el("DIV", {}, open, why);
  morph(root, el("DIV", {}, el("DETAILS", { class: "new" }), el("P", { class: "why", id: "why-a", hidden: "" })));
  assert.equal(open.getAttribute("class"), "new");
  assert.ok(open.hasAttribute("open"));
  assert.ok(!why.hasAttribute("hidden"));
});

test("rows that go and come keep the others in place and order", () => {
  const rows = ["a", "b", "c"].map((id) => el("TR", { id }, id));
  const root = el("TBODY", {}, ...rows);
  morph(root, el("TBODY", {}, el("TR", { id: "a" }, "a"), el("TR", { id: "x" }, "x"), el("TR", { id: "c" }, "c")));
  assert.equal(text(root), "a|x|c");
  assert.equal(root.childNodes[0], rows[0]);
  assert.equal(root.childNodes[2], rows[2]);
  morph(root, el("TBODY", {}));
  assert.equal(root.childNodes.length, 0);
});
