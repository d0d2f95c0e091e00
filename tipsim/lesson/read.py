"""Reading all lessons: every mistake is noted, and reading goes on."""

from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from tipsim.lesson.draws import Draw, multiplied
from tipsim.lesson.faults import Faults, quoted
from tipsim.lesson.format import (
    GUIDE,
    PAGES,
    Bench,
    Claim,
    Item,
    Lesson,
    Objective,
    Place,
    School,
    Source,
    Step,
    Term,
    Text,
    Track,
)
from tipsim.lesson.kinds import MOST_VARIANTS, read_item, read_variants
from tipsim.lesson.read_steps import read_steps, sections
from tipsim.lesson.sheet import Sheet, sheet_of, sheets_of
from tipsim.paths import lessons_folder
from tipsim.setup.errors import BadInput, nearest

LONGEST = 20
"""Most minutes of a lesson."""
_RENAMED = {"Usual wrong ideas": "Misconceptions"}
"""Headings of guides as they were once, and are now."""


@cache
def school() -> School:
    """Return the lessons of this copy.

    Raises
    ------
    BadInput
        With the first mistake, when a file cannot be read as it should.

    Examples
    --------
    >>> school().lessons["drive-to-stroke"].title
    'Foot down. What does the needle do?'
    """
    faults = Faults()
    found = read_school(lessons_folder(), faults)
    for fault in faults:
        at = f"lessons/{fault.place.file}:{fault.place.line}: {fault.field}"
        raise BadInput(at, fault.value, fault.allowed)
    return found


def read_school(folder: Path, faults: Faults) -> School:
    """Read every lesson of a folder, its tracks and its glossary.

    Parameters
    ----------
    faults : Faults
        Grows by every mistake.
    """
    lessons: dict[str, Lesson] = {}
    for path in sorted(p.parent for p in folder.glob("*/lesson.md")):
        lesson = read_lesson(path, faults)
        if lesson is None:
            continue
        if lesson.id in lessons:
            faults.add(lesson.place, "id", quoted(lesson.id), "an id that no other lesson has")
        lessons[lesson.id] = lesson
    return School(lessons, _tracks(folder, faults), _glossary(folder, faults))


def read_lesson(folder: Path, faults: Faults) -> Lesson | None:
    """Read the lesson of a folder; None where its front matter cannot be found."""
    file = f"{folder.name}/lesson.md"
    text = _text(folder / "lesson.md", file, faults)
    front, body, first = _split(text, file, faults)
    sheet = sheet_of(front, file, faults, 2) if front else None
    if sheet is None:
        return None
    bench = sheet.bench("bench", True, ("a", "b")) or Bench({"a": {}, "b": {}})
    draws = read_variants(sheet, "drawn")
    items = {i: _in_draws(x, bench, draws, faults) for i, x in _items(folder, faults).items()}
    page, view = sheet.one_of("page", PAGES), sheet.table("view")
    free = sheet.lines("free", low=0)
    blank = Step("", "", "", Text(""), sheet.place, free=free, page=page, view=view)
    lesson = Lesson(
        id=sheet.id("id"),
        title=sheet.words("title"),
        folder=folder,
        tracks=sheet.lines("tracks"),
        minutes=int(sheet.number("minutes", 5, LONGEST)),
        practical=sheet.yes("practical"),
        needs=sheet.lines("needs", low=0),
        objectives=sheet.each("objectives", _objective, True, 1, 8),
        questions=sheet.lines("questions"),
        key_points=sheet.each("key_points", _claim, True, 1, 10),
        claims=sheet.each("claims", _claim, False),
        sources=sheet.each("sources", _source, False),
        bench=bench,
        page=page,
        free=free,
        view=view,
        steps=read_steps(body, file, first, blank, items, faults),
        items=items,
        guide=_guide(folder, faults),
        draws=draws,
        draw=draws[0],
        place=sheet.at("id"),
    )
    sheet.done()
    return lesson


def _text(path: Path, file: str, faults: Faults) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError:
        faults.add(Place(file, 1), "file", "missing", "see lessons/README.md")
    except (OSError, UnicodeDecodeError):
        faults.add(Place(file, 1), "file", "not readable", "text in UTF-8")
    return ""


def _split(text: str, file: str, faults: Faults) -> tuple[str, str, int]:
    """Part front matter and steps; also the line that the steps begin in."""
    lines = text.splitlines()
    if lines and lines[0].strip() == "---":
        for end in range(1, len(lines)):
            if lines[end].strip() == "---":
                return "\n".join(lines[1:end]), "\n".join(lines[end + 1 :]), end + 2
    faults.add(Place(file, 1), "front matter", "missing", "YAML between two lines ---")
    return "", text, 1


def _objective(sheet: Sheet) -> Objective:
    return Objective(sheet.id("id"), sheet.words("text"))


def _source(sheet: Sheet) -> Source:
    return Source(sheet.id("id"), sheet.words("text"))


def _claim(sheet: Sheet) -> Claim:
    that = sheet.formula("that") if sheet.has("that") else None
    source = sheet.id("source", "")
    if that is None and not source:
        allowed = "that: a condition of the model, or source: an id of sources"
        sheet.faults.add(sheet.place, "claim", "without ground", allowed)
    return Claim(sheet.text("text"), that, source, sheet.bench("bench"), sheet.place)


def _items(folder: Path, faults: Faults) -> dict[str, Item]:
    out: dict[str, Item] = {}
    for path in sorted(folder.glob("*.yaml")):
        file = f"{folder.name}/{path.name}"
        for sheet in sheets_of(_text(path, file, faults), file, faults):
            item = read_item(sheet)
            if item is None:
                continue
            if item.id in out:
                faults.add(sheet.at("id"), "id", quoted(item.id), "an id that no other item has")
            out[item.id] = item
    return out


def _in_draws(item: Item, bench: Bench, draws: Sequence[Draw], faults: Faults) -> Item:
    """Return an item in every draw of its lesson; a name of its own cannot be a drawn one."""
    for name in sorted(set(draws[0]) & set(item.variants[0])):
        faults.add(item.place, "variants", quoted(name), "a name that `drawn` does not have")
    out = multiplied(item, bench, draws)
    if len(out.variants) > MOST_VARIANTS:
        value = f"{len(out.variants)} with those of `drawn`"
        faults.add(item.place, "variants", value, f"up to {MOST_VARIANTS}")
    return out


def _guide(folder: Path, faults: Faults) -> dict[str, Text]:
    file = f"{folder.name}/guide.md"
    text = _text(folder / "guide.md", file, faults)
    out: dict[str, Text] = {}
    for section in sections(text, file, 1, faults):
        title = _RENAMED.get(section.title, section.title)
        if title not in GUIDE:
            allowed = ", ".join(GUIDE) + nearest(section.title, GUIDE)
            faults.add(section.place, "heading", quoted(section.title), allowed)
        out[title] = section.text
    for title in GUIDE:
        if text and not out.get(title):
            faults.add(Place(file, 1), f"heading {title}", "missing or empty", f"## {title}")
    return out


def _tracks(folder: Path, faults: Faults) -> dict[str, Track]:
    def read(sheet: Sheet) -> Track:
        place = sheet.at("id")
        words = sheet.id("id"), sheet.words("title"), sheet.words("text")
        more, was, papers = (
            sheet.lines(key, needed=False, low=0) for key in ("more", "was", "papers")
        )
        return Track(*words, sheet.lines("lessons"), more, was, papers, place)

    out: dict[str, Track] = {}
    for sheet in _all(folder / "tracks.yaml", faults):
        track = read(sheet)
        sheet.done()
        if track.id in out:
            faults.add(track.place, "id", quoted(track.id), "an id that no other track has")
        out[track.id] = track
    return out


def _glossary(folder: Path, faults: Faults) -> dict[str, Term]:
    out: dict[str, Term] = {}
    for sheet in _all(folder / "glossary.yaml", faults):
        also = sheet.lines("also", needed=False)
        term = Term(sheet.words("term"), also, sheet.words("text"), sheet.place)
        sheet.done()
        for form in (term.term, *term.also):
            if form.lower() in out:
                faults.add(term.place, "term", quoted(form), "each term and form once")
            out[form.lower()] = term
    return out


def _all(path: Path, faults: Faults) -> Iterator[Sheet]:
    return sheets_of(_text(path, path.name, faults), path.name, faults)
