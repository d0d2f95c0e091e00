// The overview: who learns here, the ways through the lessons, what is done and what to repeat.

import { make } from "../framework/make.js";
import { rich } from "./widgets/text.js";
import { greet, writeLearner } from "./learner.js";

const SIGNS = { new: "○", begun: "◐", done: "✓", due: "↻" };

class Overview {
  constructor(model) {
    this.model = model;
    this.seq = 0;
    this.opened = new Set();
    this.root = make("div", { className: "overview" });
    this.status = make("p", { className: "sr", role: "status" });
    this.who = make("section", { className: "who", id: "record", "aria-label": "Your record" });
    this.map = make("div", { className: "map" });
    this.root.append(this.status, this.who, this.map);
    greet((message) => this.send(message), () => "seq" in model.content);
    this.show();
  }

  send(message) {
    this.seq += 1;
    this.model.send_msg({ ...message, seq: this.seq });
  }

  show() {
    const { content } = this.model;
    if (content.trouble) this.who.replaceChildren(make("p", { className: "wrong" }, content.trouble));
    if (!content.tracks) return;
    const held = this.root.getRootNode().activeElement?.id;
    if (content.learner !== undefined) writeLearner(content.learner);
    this.showWho(content);
    this.showMap(content);
    this.status.textContent = content.notice ?? "";
    if (content.file && content.file.serial !== this.saved) this.save(content.file);
    const back = this.root.querySelector(`#${held || "none"}`) ?? (content.moved ? this.who.querySelector("h2") : null);
    back?.focus();
  }

  save({ name, text, serial }) {
    this.saved = serial;
    const href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    make("a", { href, download: name }).click();
    setTimeout(() => URL.revokeObjectURL(href), 1000);
  }

  // ---- who ----

  showWho(content) {
    const told = content.notice ? [make("p", { className: "told" }, content.notice)] : [];
    const parts = content.learner ? this.known(content) : this.unknown(content);
    const typed = new Map([...this.who.querySelectorAll("input[type='text']")].map((node) => [node.id, node.value]));
    this.who.replaceChildren(...parts, ...told);
    for (const [id, value] of typed) {
      const field = this.who.querySelector(`#${id}`);
      if (field && content.errors[field.dataset.field]) field.value = value;
    }
  }

  unknown({ errors, first }) {
    this.ownOpen = this.asking = false;
    const start = this.entry("nickname", "A nickname for your record", "Start", errors, (value) =>
      this.send({ do: "start", nickname: value }),
    );
    const back = this.entry("code", "Your code", "Go on", errors, (value) => this.send({ do: "back", code: value }));
    const look = make("a", { className: "main", href: first }, "Just look: lesson 1");
    return [
      make("h2", { tabIndex: -1 }, "Who are you?"),
      make(
        "div",
        { className: "ways" },
        make(
          "div",
          { className: "way" },
          make("h3", {}, "I am new"),
          make(
            "p",
            {},
            "A made-up name is enough. You get a code; with it you go on later, here or in another browser. " +
            "Nothing personal is asked or kept.",
          ),
          start,
        ),
        make("div", { className: "way" }, make("h3", {}, "I have a code"), back, this.importing(errors)),
        make(
          "div",
          { className: "way" },
          make("h3", {}, "I only want to look"),
          make("p", {}, "Every lesson works without a record. Then nothing is kept: no answers, no place."),
          look,
        ),
      ),
    ];
  }

  entry(field, words, action, errors, act) {
    const input = make("input", { type: "text", id: `in-${field}`, autocomplete: "off", maxLength: 60 });
    input.dataset.field = field;
    const wrong = make(
      "p",
      { className: "wrong", id: `wrong-${field}`, role: "alert", hidden: !errors[field] },
      errors[field] ?? "",
    );
    input.setAttribute("aria-describedby", wrong.id);
    const form = make(
      "form",
      { noValidate: true },
      make("label", { htmlFor: input.id }, words),
      make("div", { className: "line" }, input, make("button", { type: "submit", className: "main" }, action)),
      wrong,
    );
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      act(input.value);
    });
    return form;
  }

  importing(errors) {
    const file = make("input", { type: "file", id: "in-file", accept: ".json,application/json" });
    file.addEventListener("change", async () => {
      if (file.files.length) this.send({ do: "import", text: await file.files[0].text() });
    });
    const wrong = make("p", { className: "wrong", role: "alert", hidden: !errors.file }, errors.file ?? "");
    return make(
      "div",
      { className: "import" },
      make("label", { htmlFor: file.id }, "Or take in a record that was saved as a file"),
      file,
      wrong,
    );
  }

  known({ learner, resume, due, errors }) {
    const code = make("code", {}, learner.code);
    const copy = make("button", { type: "button", id: "copy", click: () => this.copy(learner.code) }, "Copy the code");
    const go = resume
      ? [make("p", {}, make("a", { className: "main", href: resume.href }, resume.words))]
      : [];
    const repeat = due ? [rich("p", due, { className: "due" })] : [];
    return [
      make("h2", { tabIndex: -1 }, `Hello, ${learner.nickname}`),
      make(
        "p",
        {},
        "Your code: ",
        code,
        " ",
        copy,
        " Write it down: it is the only key to your record, and how you go on in another browser.",
      ),
      ...go,
      ...repeat,
      this.own(errors),
    ];
  }

  own(errors) {
    const act = (id, words, message) => make("button", { type: "button", id, click: () => this.send(message) }, words);
    const sure = make("div", { className: "sure", hidden: !this.asking });
    sure.append(
      make("p", {}, "This deletes your nickname, your code and every answer, for good."),
      act("remove", "Yes, delete everything", { do: "remove" }),
      make("button", { type: "button", click: () => this.ask(false) }, "No, keep it"),
    );
    const actions = make(
      "div",
      { className: "actions" },
      act("export", "Save it as a file", { do: "export" }),
      act("leave", "Leave this browser", { do: "leave" }),
      make("button", { type: "button", id: "ask-remove", click: () => this.ask(true) }, "Delete my record"),
    );
    const box = make(
      "details",
      { className: "own", open: Boolean(this.ownOpen) },
      make("summary", {}, "Your data"),
      actions,
      sure,
      this.importing(errors),
    );
    box.addEventListener("toggle", () => (this.ownOpen = box.open));
    this.sure = sure;
    return box;
  }

  ask(on) {
    this.asking = on;
    this.sure.hidden = !on;
    if (on) this.sure.querySelector("button").focus();
    else this.root.querySelector("#ask-remove").focus();
  }

  async copy(code) {
    try {
      await navigator.clipboard.writeText(code);
      this.status.textContent = "Code copied.";
    } catch {
      this.status.textContent = "Copying is not allowed here; write the code down.";
    }
  }

  // ---- tracks and lessons ----

  showMap(content) {
    const track = content.tracks.find(({ id }) => id === content.track) ?? content.tracks[0];
    const radios = content.tracks.map(({ id, title }) => {
      const radio = make("input", { type: "radio", name: "track", value: id, id: `track-${id}` });
      radio.checked = id === track.id;
      radio.addEventListener("change", () => this.send({ do: "choose", track: id }));
      return make("label", {}, radio, title);
    });
    const set = make("div", { className: "segments", role: "radiogroup", "aria-label": "Track" }, ...radios);
    const rows = track.lessons.map((id, i) => this.lesson(content.lessons[id], i + 1, content.learner));
    this.map.replaceChildren(
      make("h2", {}, "The way through"),
      set,
      make("p", { className: "lead" }, `${track.text} ${track.told}`),
      this.bar(track),
      make("ol", { className: "lessons" }, ...rows),
    );
  }

  bar({ done, lessons }) {
    const bar = make("progress", { max: lessons.length, value: done });
    bar.setAttribute("aria-label", `${done} of ${lessons.length} lessons done`);
    return bar;
  }

  lesson(lesson, number, learner) {
    const state = make(
      "span",
      { className: `state ${lesson.state}` },
      make("span", { "aria-hidden": "true" }, SIGNS[lesson.state]),
      ` ${lesson.word}`,
    );
    const links = [
      make(
        "a",
        { className: "main", href: lesson.href, "aria-label": `${lesson.action}: ${lesson.title}` },
        lesson.action,
      ),
    ];
    if (lesson.state === "new")
      links.push(
        make(
          "a",
          { href: `${lesson.href}&begin=quiz`, "aria-label": `I know this, take the quiz first: ${lesson.title}` },
          "I know this: quiz first",
        ),
      );
    links.push(make("a", { href: lesson.handout, "aria-label": `Handout: ${lesson.title}` }, "Handout"));
    const goals = lesson.objectives.map(({ text, level, told }) =>
      make("li", {}, rich("span", text), learner ? make("span", { className: `level ${level}` }, told) : null),
    );
    const more = make(
      "details",
      { id: `more-${lesson.id}`, open: this.opened.has(lesson.id) },
      make("summary", {}, "You will be able to …"),
      make("ul", { className: "objectives" }, ...goals),
    );
    more.addEventListener("toggle", () => this.opened[more.open ? "add" : "delete"](lesson.id));
    const needs = lesson.needs.length
      ? make("p", { className: "hint" }, `Best after: ${lesson.needs.join(", ")}`)
      : null;
    return make(
      "li",
      { className: `card ${lesson.state}` },
      make("h3", {}, make("span", { className: "number" }, String(number)), lesson.title),
      make("p", { className: "facts" }, state, make("span", {}, `${lesson.minutes} minutes`)),
      needs,
      make("div", { className: "actions" }, ...links),
      more,
    );
  }
}

export function render({ model }) {
  const overview = new Overview(model);
  model.on("content", () => overview.show());
  return overview.root;
}
