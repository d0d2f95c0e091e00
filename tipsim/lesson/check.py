"""Checking lessons: that they hang together, and that each says what the model says."""

from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from tipsim.lesson import expression
from tipsim.lesson.ask import ask_variant, lesson_values
from tipsim.lesson.check_form import check_form
from tipsim.lesson.check_items import check_item, check_lengths
from tipsim.lesson.draws import agreeing, in_every_draw
from tipsim.lesson.faults import Faults, quoted
from tipsim.lesson.fill import fill
from tipsim.lesson.format import (
    Claim,
    Lesson,
    Place,
    School,
    Step,
    Text,
)
from tipsim.lesson.handed import papers
from tipsim.lesson.kinds import kind_of, texts_of
from tipsim.lesson.markdown import marks
from tipsim.lesson.quantities import Values, solved
from tipsim.lesson.read import read_school
from tipsim.lesson.rounds import step_values
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.link import ALIASES, path_names

_PREFACE = ("needle", "drive", "sleeve", "lens", "support")
_ROUND = {"predict": "run", "run": "observe", "observe": "compare", "compare": "explain"}
LEAST_ITEMS = 3
"""Items of each objective."""
LEAST_ASKED = 2
"""Questions (items or their variants) of each objective in quiz and reviews."""


def check_folder(folder: Path) -> tuple[School, Faults]:
    """Read and check all lessons of a folder; gives them and every mistake."""
    faults = Faults()
    school = read_school(folder, faults)
    _check_tracks(school, folder, faults)
    _check_ids(school, faults)
    for lesson in school.lessons.values():
        check_lesson(lesson, school, faults)
    return school, faults


def check_lesson(lesson: Lesson, school: School, faults: Faults) -> None:
    """Check one lesson: steps, objectives, claims, texts, every variant of every item."""
    _check_steps(lesson, faults)
    _check_objectives(lesson, faults)
    check_form(lesson, faults)
    before = len(faults)
    for each in in_every_draw(lesson):
        if not _check_draw(each, school, faults):
            return
        if len(faults) > before:  # The same again in the other draws.
            break
    for item in lesson.items.values():
        check_item(lesson, item, faults)
        _check_fields(kind_of(item).free(item), item.place, faults)
    check_lengths(lesson, faults)


def _check_draw(lesson: Lesson, school: School, faults: Faults) -> bool:
    """Check claims and texts in what a lesson has drawn; false where its bench cannot be."""
    try:
        values = lesson_values(lesson)
        for side in values.sides.values():
            solved(side)
    except BadInput as bad:
        faults.bad(lesson.bench.place, "bench", bad)
        return False
    for step in lesson.steps:
        _check_bench(lesson, step, faults)
    _check_claims(lesson, faults)
    _check_texts(lesson, school, values, faults)
    return True


def _check_tracks(school: School, folder: Path, faults: Faults) -> None:
    """Check that tracks and lessons name each other, and that what is needed comes before."""
    for track in school.tracks.values():
        for id in track.lessons:
            if id not in school.lessons:
                allowed = "ids of lessons" + nearest(id, school.lessons)
                faults.add(track.place, "lessons", quoted(id), allowed)
            elif track.id not in school.lessons[id].tracks:
                lesson = school.lessons[id]
                allowed = f"{track.id} too, since tracks.yaml has this lesson there"
                faults.add(lesson.place, "tracks", ", ".join(lesson.tracks), allowed)
        _check_before(track.lessons, school, track.place, faults)
        known = papers(folder)
        for id in track.papers:
            if id not in known:
                faults.add(track.place, "papers", quoted(id), ", ".join(known) or "none here")
    for lesson in school.lessons.values():
        for id in lesson.tracks:
            if id not in school.tracks or lesson.id not in school.tracks[id].lessons:
                allowed = "tracks of tracks.yaml that list this lesson"
                faults.add(lesson.place, "tracks", quoted(id), allowed)
        for id in lesson.needs:
            if id not in school.lessons or id == lesson.id:
                allowed = "ids of other lessons" + nearest(id, school.lessons)
                faults.add(lesson.place, "needs", quoted(id), allowed)


def _check_before(ids: Iterable[str], school: School, place: Place, faults: Faults) -> None:
    seen = set[str]()
    for id in ids:
        for need in school.lessons[id].needs if id in school.lessons else ():
            if need not in seen:
                faults.add(place, f"lessons: {id}", f"before {need}", f"{need} first: it is needed")
        seen.add(id)


def _check_ids(school: School, faults: Faults) -> None:
    """Check that ids of objectives and items are unique among all lessons."""
    lessons = school.lessons.values()
    objectives = Counter(o.id for lesson in lessons for o in lesson.objectives)
    items = Counter(id for lesson in lessons for id in lesson.items)
    for lesson in lessons:
        for o in lesson.objectives:
            if objectives[o.id] > 1:
                faults.add(lesson.place, "objectives", quoted(o.id), "ids that no other one has")
        for item in lesson.items.values():
            if items[item.id] > 1:
                faults.add(item.place, "id", quoted(item.id), "an id that no other item has")


def _check_steps(lesson: Lesson, faults: Faults) -> None:
    kinds = [s.kind for s in lesson.steps]
    at = lesson.place
    if kinds[:1] != ["prime"] or kinds[-2:] != ["quiz", "key-points"]:
        allowed = "prime first, quiz and key-points last"
        faults.add(at, "steps", ", ".join(kinds) or "none", allowed)
    if "run" not in kinds:
        faults.add(at, "steps", "without run", "an experiment, predicted before it")
    for step, after in zip(lesson.steps, lesson.steps[1:], strict=False):
        wanted = _ROUND.get(step.kind)
        if wanted and after.kind not in (wanted, step.kind):
            faults.add(after.place, f"step after {step.kind}", after.kind, wanted)
    for before, step in zip(lesson.steps, lesson.steps[1:], strict=False):
        wanted = {v: k for k, v in _ROUND.items()}.get(step.kind)
        if wanted and before.kind not in (wanted, step.kind):
            faults.add(before.place, f"step before {step.kind}", before.kind, wanted)
    ids = Counter(s.id for s in lesson.steps)
    asked = Counter(i for s in lesson.steps if s.kind != "compare" for i in s.items)
    for step in lesson.steps:
        if ids[step.id] > 1:
            faults.add(step.place, "id", quoted(step.id), "an id that no other step has")
        _check_step(lesson, step, asked, faults)


def _check_step(lesson: Lesson, step: Step, asked: Counter[str], faults: Faults) -> None:
    for id in step.items:
        if step.kind != "compare" and asked[id] > 1:
            faults.add(step.place, "items", quoted(id), "each item in one step")
        if step.kind == "run" and not kind_of(lesson.items[id]).free(lesson.items[id]):
            faults.add(step.place, "items", quoted(id), "items of kind goal, in a run")
    predicted = {i for s in lesson.steps if s.kind == "predict" for i in s.items}
    if step.kind == "compare" and not set(step.items) <= predicted:
        faults.add(step.place, "items", ", ".join(step.items), "items of a predict step")
    example = lesson.items.get(step.example)
    if step.example and not (example and kind_of(example).worked(example)):
        faults.add(step.place, "example", quoted(step.example), "a number item with worked")
    _check_fields(step.free, step.place, faults)


def _check_bench(lesson: Lesson, step: Step, faults: Faults) -> None:
    if step.bench is not None:
        try:
            for side in lesson_values(lesson, step.bench).sides.values():
                solved(side)
        except BadInput as bad:
            faults.bad(step.bench.place, "bench", bad)


def _check_fields(names: Iterable[str], place: Place, faults: Faults) -> None:
    known = [*_PREFACE, *ALIASES, *path_names()]
    for name in names:
        if name not in known:
            faults.add(place, "free", quoted(name), f"fields as in links{nearest(name, known)}")


def _check_objectives(lesson: Lesson, faults: Faults) -> None:
    count = Counter(item.objective for item in lesson.items.values())
    known = [o.id for o in lesson.objectives]
    for id in known:
        if count[id] < LEAST_ITEMS:
            faults.add(
                lesson.place, f"objective {id}", f"with {count[id]} items", f"{LEAST_ITEMS} or more"
            )
    asked: Counter[str] = Counter()
    for item in lesson.items.values():
        asked[item.objective] += agreeing(lesson, item) if lesson.counts(item) else 0
    for id in known:
        if count[id] and asked[id] < LEAST_ASKED:
            allowed = f"{LEAST_ASKED} or more, as items or variants: mastery needs them"
            value = f"with {asked[id]} question in quiz and reviews"
            faults.add(lesson.place, f"objective {id}", value, allowed)
    for item in lesson.items.values():
        if item.objective not in known:
            allowed = ", ".join(known) + nearest(item.objective, known)
            faults.add(item.place, "objective", quoted(item.objective), allowed)


def _check_claims(lesson: Lesson, faults: Faults) -> None:
    sources = {s.id for s in lesson.sources}
    for claim in (*lesson.key_points, *lesson.claims):
        if claim.source and claim.source not in sources:
            allowed = ", ".join(sorted(sources)) or "ids of sources (there are none)"
            faults.add(claim.place, "source", quoted(claim.source), allowed)
        try:
            if claim.that is not None and not claim_holds(lesson, claim):
                wanted = "what the model says on this bench"
                faults.add(claim.that.place, "that", f"{quoted(claim.that.source)}, not so", wanted)
        except BadInput as bad:
            faults.bad(claim.place, "claim", bad)


def claim_holds(lesson: Lesson, claim: Claim) -> bool:
    """Return whether the model fulfils a claim; raises BadInput where it cannot be worked out."""
    assert claim.that is not None
    return expression.holds(claim.that.source, lesson_values(lesson, claim.bench))


def _lesson_texts(lesson: Lesson) -> Iterator[tuple[Text, Values]]:
    """Return each text of a lesson outside its items, with the values it is filled with."""
    values = lesson_values(lesson)
    for claim in (*lesson.key_points, *lesson.claims):
        yield claim.text, values if claim.bench is None else lesson_values(lesson, claim.bench)
    for step in lesson.steps:
        own = step_values(lesson, step)
        for text in (step.text, *step.change, *step.look):
            yield text, own
    for text in lesson.guide.values():
        yield text, values


def _check_texts(lesson: Lesson, school: School, values: Values, faults: Faults) -> None:
    try:
        texts = list(_lesson_texts(lesson))
    except BadInput:  # A bench of a step or claim: told where it is checked itself.
        texts = [(s.text, values) for s in lesson.steps]
    for text, own in texts:
        try:
            filled = fill(text.source, own)
        except BadInput as bad:
            faults.bad(text.place, "text", bad)
            continue
        _check_marks(filled, text, lesson, school, faults)
    for item in lesson.items.values():
        try:
            asked = ask_variant(lesson, item, 0)
            for text in texts_of(item):
                _check_marks(asked.fill(text), text, lesson, school, faults)
        except BadInput:  # Told by check_item, for every variant.
            continue


def _check_marks(filled: str, text: Text, lesson: Lesson, school: School, faults: Faults) -> None:
    found = marks(filled)
    for term in found.terms:
        if term.lower() not in school.glossary:
            allowed = "terms of glossary.yaml" + nearest(term.lower(), school.glossary)
            faults.add(text.place, "term", quoted(term), allowed)
    for source in found.sources:
        known = [s.id for s in lesson.sources]
        if source not in known:
            faults.add(text.place, "source", quoted(source), ", ".join(known) or "none here")
    for file, alt in found.pictures:
        if "/" in file or not (lesson.folder / file).is_file():
            faults.add(text.place, "picture", quoted(file), "a file of the lesson's folder")
        if not alt.strip():
            faults.add(text.place, f"picture {file}", "without alt text", "what is to be seen")
    if any(level < 3 for level in found.levels):
        faults.add(text.place, "heading", "of level 1 or 2", "### and deeper inside a text")
