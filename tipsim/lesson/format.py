"""What a lesson is made of, as frozen data; `lessons/README.md` describes it for authors."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tipsim.setup.described import about, described

STEP_KINDS = (*("prime", "predict", "run", "observe", "compare", "explain", "quiz", "key-points"),)
PAGES = (
    "bench", "heat", "flow", "tissue", "camera", "needle", "thermal-camera", "endoscope",
)  # fmt: skip
SIDES = ("a", "b", "c", "d")
KNOWLEDGE = ("recall", "explain", "apply", "decide")
"""What an item asks for: a fact, a reason, the idea in a new case, or what to do in a case."""
GUIDE = ("Aim", "Misconceptions", "Discussion", "Timing")

Side = Mapping[str, str]
"""What a link holds of one side: needle, drive, fields by their path."""
Value = str | float


@dataclass(frozen=True, order=True)
class Place:
    """Where something stands: file, from the lessons' folder, and line from 1."""

    file: str
    line: int


NOWHERE = Place("", 0)


@dataclass(frozen=True)
class Text:
    """Markdown with placeholders in braces, and where it stands."""

    source: str
    place: Place = NOWHERE

    def __bool__(self) -> bool:
        """Return whether there is any."""
        return bool(self.source)


@dataclass(frozen=True)
class Formula:
    """An expression, and where it stands; see `tipsim.lesson.expression`."""

    source: str
    place: Place = NOWHERE


@dataclass(frozen=True)
class Bench:
    """Settings by side; "both" is laid under every other one.

    Examples
    --------
    >>> lesson = Bench({"both": {"power": "60"}, "a": {"needle": "straight"}, "b": {}})
    >>> lesson.under(Bench({"a": {"power": "40"}})).whole()["a"]
    {'power': '40', 'needle': 'straight'}
    """

    sides: Mapping[str, Side]
    place: Place = NOWHERE

    def under(self, over: "Bench") -> "Bench":
        """Lay another bench over this one, key by key."""
        base = self.whole()
        both = over.sides.get("both", {})
        names = [*base, *(s for s in over.sides if s not in base and s != "both")]
        shared = self.sides.get("both", {})
        sides = {n: {**base.get(n, shared), **both, **over.sides.get(n, {})} for n in names}
        return Bench({"both": {**shared, **both}, **sides}, over.place)

    def whole(self) -> dict[str, dict[str, str]]:
        """Return each side with what both have."""
        both = self.sides.get("both", {})
        return {n: {**both, **side} for n, side in self.sides.items() if n != "both"}


@dataclass(frozen=True)
class Objective:
    """What a learner will be able to do; `text` completes "You will be able to"."""

    id: str
    text: str


@dataclass(frozen=True)
class Claim:
    """A statement that the model fulfils (`that`) or that has a source (`source`, its id)."""

    text: Text
    that: Formula | None
    source: str
    bench: Bench | None
    place: Place = NOWHERE


@described()
class Item:
    """What every question has; `tipsim.lesson.kinds` adds what each kind has."""

    id: str
    objective: str
    kind: str
    text: Text
    bench: Bench | None = about("Laid over the lesson's.")
    variants: tuple[Mapping[str, Value], ...] = about(
        "What a seed draws one from; one empty mapping when there are none."
    )
    right: Text = about("Feedback for the right answer.")
    asks: str = about('One of `KNOWLEDGE`, or "" for what is only predicted or observed.')
    place: Place

    def truths(self) -> tuple[Formula, ...]:
        """Return the formulas of the right values: none for a kind that asks for no number."""
        return ()


@described()
class Step:
    """One step of a lesson."""

    id: str
    kind: str
    title: str
    text: Text
    place: Place
    items: tuple[str, ...] = about(
        'Ids of the items asked here; for "compare", of the predictions that are compared.',
        default=(),
    )
    change: tuple[Text, ...] = about('For "run": what to change, what to look at.', default=())
    look: tuple[Text, ...] = ()
    bench: Bench | None = about("Laid over the lesson's.", default=None)
    free: tuple[str, ...] = about(
        "Fields that may be changed here (those of the lesson where the step has none of its own).",
        default=(),
    )
    page: str = "bench"
    view: Mapping[str, str] = about(
        'Items of the page\'s link, without "view.".', default_factory=dict
    )
    example: str = about('For "explain": id of a number item shown solved, or "".', default="")
    moving: bool = about('For "prime": whether the experiment moves above the text.', default=False)

    @property
    def tasks(self) -> tuple[tuple[str, tuple[Text, ...]], ...]:
        """What to do and what to watch for, each with its heading."""
        return ("Do", self.change), ("Watch for", self.look)


@dataclass(frozen=True)
class Source:
    """Where a claim comes from."""

    id: str
    text: str


@dataclass(frozen=True)
class Lesson:
    """A whole lesson; `guide` is the teacher's text by heading, `items` are by id, in order.

    One of `draws` holds for a learner through the lesson: `draw`, at first the first one.
    """

    id: str
    title: str
    folder: Path
    tracks: tuple[str, ...]
    minutes: int
    practical: bool
    needs: tuple[str, ...]
    objectives: tuple[Objective, ...]
    questions: tuple[str, ...]
    key_points: tuple[Claim, ...]
    claims: tuple[Claim, ...]
    sources: tuple[Source, ...]
    bench: Bench
    page: str
    free: tuple[str, ...]
    view: Mapping[str, str]
    steps: tuple[Step, ...]
    items: Mapping[str, Item]
    guide: Mapping[str, Text]
    draws: tuple[Mapping[str, Value], ...]
    draw: Mapping[str, Value]
    place: Place

    def step(self, id: str) -> Step:
        """Return a step by id; raises KeyError."""
        return next((s for s in self.steps if s.id == id), None) or _missing(id)

    def step_of(self, item: str) -> Step | None:
        """Return the step that asks an item, or None for one that is kept for reviews."""
        return next((s for s in self.steps if item in s.items and s.kind != "compare"), None)

    def counts(self, item: Item) -> bool:
        """Return whether an item is for quizzes and reviews: asked in a quiz, or in no step."""
        step = self.step_of(item.id)
        return step is None or step.kind == "quiz"

    def bench_of(self, item: Item) -> Bench:
        """Return the bench of an item, laid over the lesson's."""
        return self.bench if item.bench is None else self.bench.under(item.bench)


def _missing(id: str) -> Step:
    raise KeyError(id)


@dataclass(frozen=True)
class Track:
    """A way through the lessons for one kind of learner: a core, and `more` for who wants it."""

    id: str
    title: str
    text: str
    core: tuple[str, ...]
    more: tuple[str, ...] = ()
    was: tuple[str, ...] = ()
    papers: tuple[str, ...] = ()
    place: Place = NOWHERE

    @property
    def lessons(self) -> tuple[str, ...]:
        """All lessons in their order: the core, then what may follow."""
        return self.core + self.more


@dataclass(frozen=True)
class Term:
    """A word of the glossary; `also` are its other forms."""

    term: str
    also: tuple[str, ...]
    text: str
    place: Place = NOWHERE


@described()
class School:
    """All lessons, tracks and terms."""

    lessons: Mapping[str, Lesson] = about("By id, in the order of their folders.")
    tracks: Mapping[str, Track] = about("By id.")
    glossary: Mapping[str, Term] = about("By term and by each other form.")

    def track(self, id: str) -> Track | None:
        """Return a track by its id, or by one that it had before; None for any other."""
        found = self.tracks.get(id)
        return found or next((t for t in self.tracks.values() if id in t.was), None)

    def home(self, item: str) -> Lesson:
        """Return the lesson of an item; raises KeyError."""
        for lesson in self.lessons.values():
            if item in lesson.items:
                return lesson
        raise KeyError(item)

    def item(self, id: str) -> Item:
        """Return an item of any lesson; raises KeyError."""
        return self.home(id).items[id]
