"""What every kind of question can do; a kind overrides what is particular to it."""

import json
from collections.abc import Iterable, Iterator
from typing import Any, ClassVar, Generic, TypeVar

from tipsim.lesson.ask import Asked
from tipsim.lesson.faults import quoted
from tipsim.lesson.format import Item, Place, Text
from tipsim.lesson.markdown import line
from tipsim.lesson.qti_parts import Qti
from tipsim.lesson.sheet import Sheet
from tipsim.setup.described import about, described

RIGHT, PARTLY, WRONG = "right", "partly", "wrong"
VERDICTS = (RIGHT, PARTLY, WRONG)
I = TypeVar("I", bound=Item)  # noqa: E741
Data = dict[str, Any]
Complaint = tuple[Place, str, str, str]
"""Place, field, value and what is allowed."""


@described()
class Judged:
    """What an answer is worth."""

    verdict: str = about("One of `VERDICTS`.")
    feedback: tuple[str, ...] = about("Markdown, the most telling first.")


class Kind(Generic[I]):
    """One kind of question.

    Attributes
    ----------
    name : str
        As in items.yaml.
    interaction : str
        xAPI's (SCORM's) type of interaction.
    needs_right : bool
        Whether an item must have feedback for the right answer.
    drawn : bool
        Whether a prediction is shown in its own form once more, with the result in it.
    in_words : bool
        Whether a missed right answer is given in words; else the drawing or the page shows it.
    """

    name: ClassVar[str]
    interaction: ClassVar[str] = "other"
    needs_right: ClassVar[bool] = True
    drawn: ClassVar[bool] = True
    in_words: ClassVar[bool] = True

    def read(self, sheet: Sheet, common: Data) -> I:
        """Read what this kind has besides the `common` fields of an item."""
        raise NotImplementedError

    def texts(self, item: I) -> Iterator[Text]:
        """Return this kind's texts that a learner may see."""
        raise NotImplementedError

    def complaints(self, item: I, asked: Asked) -> Iterator[Complaint]:
        """Return what is wrong with one variant."""
        raise NotImplementedError

    def score(self, item: I, asked: Asked, given: Any) -> Judged:
        """Return the verdict on an answer; raise BadInput for what is no answer."""
        raise NotImplementedError

    def right(self, item: I, asked: Asked) -> Any:
        """Return a right answer, as `score` takes it."""
        raise NotImplementedError

    def words(self, item: I, asked: Asked, given: Any) -> str:
        """Return an answer as Markdown."""
        raise NotImplementedError

    def shown(self, item: I, asked: Asked) -> Data:
        """Return what the browser needs to ask; nothing in it may give the answer away."""
        raise NotImplementedError

    def qti(self, item: I, asked: Asked, qti: Qti) -> None:
        """Write one variant for QTI."""
        raise NotImplementedError

    def revealed(self, item: I, asked: Asked, given: Any) -> Data:  # noqa: ARG002
        """Return what may be shown beside the right answer, once `given` is stored."""
        return {}

    def figure(self, shown: Data, revealed: Data) -> str:  # noqa: ARG002
        """Return an SVG drawing for paper, with the answer in it where `revealed` has one."""
        return ""

    def response(self, given: Any) -> str:
        """Return an answer as SCORM writes it: [,] between ids."""
        if self.interaction in ("choice", "sequencing") and isinstance(given, list):
            return "[,]".join(map(str, given))
        return given if isinstance(given, str) else json.dumps(given, ensure_ascii=False)

    def sides(self, item: I) -> tuple[str, ...]:  # noqa: ARG002
        """Return the sides of the setup that the item asks about."""
        return ()

    def free(self, item: I) -> tuple[str, ...]:  # noqa: ARG002
        """Return the fields to be set; none where the answer is not given by setting them."""
        return ()

    def worked(self, item: I) -> tuple[Text, ...]:  # noqa: ARG002
        """Return the lines of the worked solution."""
        return ()

    def length_of_right(self, item: I, asked: Asked) -> str | None:  # noqa: ARG002
        """Return how the right choice stands out, or "" where it does not; None without choices."""
        return None


def judged(
    asked: Asked, right: bool, partly: bool, telling: Iterable[Text], always: bool = False
) -> Judged:
    """Return verdict and feedback; `always`: what is telling stands before the item's, too."""
    verdict = RIGHT if right else PARTLY if partly else WRONG
    texts = [*telling] if not right or always else []
    if right and asked.item.right:
        texts.append(asked.item.right)
    return Judged(verdict, tuple(asked.fill(t) for t in texts if t))


def differ(asked: Asked, field: str, texts: Iterable[Text]) -> Iterator[Complaint]:
    """Return a complaint where two texts are the same."""
    filled = [asked.fill(t) for t in texts]
    twice = sorted({t for t in filled if filled.count(t) > 1})
    if twice:
        place = asked.item.place
        yield place, field, f"{quoted(twice[0])} twice", "different texts, in every variant"


def rows(asked: Asked, texts: Iterable[tuple[str, Text]]) -> list[dict[str, str]]:
    """Return texts with their ids, as the browser gets them."""
    return [{"id": id, "html": line(asked.fill(text))} for id, text in texts]


def lines(asked: Asked, texts: Iterable[Text]) -> list[str]:
    """Return texts as lines of HTML."""
    return [line(asked.fill(text)) for text in texts]
