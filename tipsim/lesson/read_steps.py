"""Reading the steps of a lesson: headings of level 2, each with settings and Markdown."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from tipsim.lesson.faults import Faults, quoted
from tipsim.lesson.format import PAGES, STEP_KINDS, Item, Place, Step, Text
from tipsim.lesson.sheet import Sheet, sheet_of
from tipsim.setup.errors import nearest

_HEADING = re.compile(r"## +(.*?)\s*#*\s*")
_FENCE = re.compile(r"\s*(```+|~~~+)\s*(\w*)\s*")
_NEEDS_ITEMS = ("predict", "observe", "quiz")
_MAY_HAVE_ITEMS = (*_NEEDS_ITEMS, "compare", "run")


@dataclass(frozen=True)
class Section:
    """A heading of level 2 and the lines below it, with the line of each first one."""

    title: str
    place: Place
    lines: tuple[str, ...]

    @property
    def text(self) -> Text:
        """The lines as one text, placed at the first that is not blank."""
        blank = next((i for i, line in enumerate(self.lines) if line.strip()), 0)
        place = replace(self.place, line=self.place.line + 1 + blank)
        return Text("\n".join(self.lines).strip(), place)


def sections(text: str, file: str, first: int, faults: Faults) -> Iterator[Section]:
    """Cut Markdown at its headings of level 2; fenced code is left alone."""
    title, start, lines, fence = "", first, list[str](), ""
    for number, line in enumerate(text.splitlines(), first):
        mark = _FENCE.match(line)
        if mark:
            fence = "" if fence and mark.group(1).startswith(fence) else fence or mark.group(1)
        heading = None if fence else _HEADING.fullmatch(line)
        if heading is None:
            lines.append(line)
            continue
        if title:
            yield Section(title, Place(file, start), tuple(lines))
        elif any(x.strip() for x in lines):
            faults.add(Place(file, first), "text", "before the first heading", '"## kind: Title"')
        title, start, lines = heading.group(1), number, []
    if title:
        yield Section(title, Place(file, start), tuple(lines))


def read_steps(
    text: str, file: str, first: int, lesson: Step, items: Mapping[str, Item], faults: Faults
) -> tuple[Step, ...]:
    """Read all steps; `lesson` holds what a step has that says nothing else (free, page, view)."""
    steps, seen, predicted = list[Step](), Counter[str](), list[str]()
    for section in sections(text, file, first, faults):
        kind, colon, title = section.title.partition(":")
        kind, title = kind.strip(), title.strip()
        if not colon or not title or kind not in STEP_KINDS:
            allowed = f"kind: Title, with a kind of {', '.join(STEP_KINDS)}"
            allowed += nearest(kind, STEP_KINDS)
            faults.add(section.place, "heading", quoted(section.title), allowed)
            continue
        seen[kind] += 1
        usual = kind if seen[kind] == 1 else f"{kind}-{seen[kind]}"
        step = _step(section, replace(lesson, id=usual, kind=kind, title=title), items, faults)
        if kind == "predict":
            predicted += step.items
        elif kind == "compare":
            step = replace(step, items=step.items or tuple(predicted))
            predicted = []
        steps.append(step)
    return tuple(steps)


def _step(section: Section, step: Step, items: Mapping[str, Item], faults: Faults) -> Step:
    sheet, body = _settings(section, faults)
    step = replace(step, text=body.text, place=section.place)
    if sheet is None:
        if step.kind in (*_NEEDS_ITEMS, "run"):
            allowed = "a block ```yaml with what this kind of step needs, right below the heading"
            faults.add(section.place, "settings", "missing", allowed)
        return step
    step = replace(step, id=sheet.id("id", step.id))
    if step.kind in _MAY_HAVE_ITEMS:
        step = replace(step, items=_ids(sheet, step.kind in _NEEDS_ITEMS, items))
    if step.kind == "explain" and sheet.has("example"):
        step = replace(step, example=sheet.id("example"))
    if step.kind == "prime":
        step = replace(step, moving=sheet.yes("moving"), view={**step.view, **sheet.table("view")})
    if step.kind == "run":
        step = _run(sheet, step)
    sheet.done()
    return step


def _run(sheet: Sheet, step: Step) -> Step:
    return replace(
        step,
        change=sheet.texts("change", needed=True),
        look=sheet.texts("look", needed=True),
        bench=sheet.bench("bench", sides=("a", "b")),
        free=sheet.lines("free", needed=False) or step.free,
        page=sheet.one_of("page", PAGES, step.page),
        view={**step.view, **sheet.table("view")},
    )


def _ids(sheet: Sheet, needed: bool, items: Mapping[str, Item]) -> tuple[str, ...]:
    ids = sheet.texts("items", needed)
    for id in ids:
        if id and id.source not in items:
            allowed = f"ids of items.yaml{nearest(id.source, items)}"
            sheet.faults.add(id.place, "items", quoted(id.source), allowed)
    return tuple(i.source for i in ids if i.source in items)


def _settings(section: Section, faults: Faults) -> tuple[Sheet | None, Section]:
    """Take the block of settings off the top of a step."""
    lines = section.lines
    top = next((i for i, line in enumerate(lines) if line.strip()), None)
    if top is None or not (mark := _FENCE.fullmatch(lines[top])) or mark.group(2) != "yaml":
        return None, section
    for end in range(top + 1, len(lines)):
        if lines[end].strip() == mark.group(1):
            break
    else:
        faults.add(section.place, "settings", "without an end", "a line ``` below the block")
        return None, section
    first = section.place.line + 1
    block = "\n".join(lines[top + 1 : end])
    sheet = sheet_of(block, section.place.file, faults, first + top + 1)
    rest = ("",) * (end + 1) + lines[end + 1 :]
    return sheet, replace(section, lines=rest)
