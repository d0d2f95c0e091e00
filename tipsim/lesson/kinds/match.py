"""Kind "match": what belongs together is put together."""

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from tipsim.lesson.ask import Asked
from tipsim.lesson.format import Item, Text
from tipsim.lesson.kinds.base import Complaint, Data, Judged, Kind, differ, judged, rows
from tipsim.lesson.markdown import line
from tipsim.lesson.qti_parts import Qti, correct
from tipsim.lesson.sheet import Sheet
from tipsim.setup.errors import BadInput


@dataclass(frozen=True)
class Pair:
    """Two that belong together."""

    id: str
    left: Text
    right: Text
    feedback: Text


@dataclass(frozen=True)
class MatchItem(Item):
    """Pairs; `also` holds right sides that fit nothing."""

    pairs: tuple[Pair, ...]
    also: tuple[Text, ...]

    def rights(self, asked: Asked) -> dict[str, str]:
        """Return the right sides as they are shown, text by id; the ids tell nothing."""
        texts = [asked.fill(t) for t in (*(p.right for p in self.pairs), *self.also)]
        return {f"r{i}": t for i, t in enumerate(asked.shuffled(texts), 1)}


class Match(Kind[MatchItem]):
    """Pairs to be put together; at least half of them right is partly right."""

    name = "match"
    interaction = "matching"

    def read(self, sheet: Sheet, common: Data) -> MatchItem:
        """Read the pairs."""
        counter = itertools.count(1)

        def read(each: Sheet) -> Pair:
            id = f"p{next(counter)}"
            return Pair(id, each.text("left"), each.text("right"), each.text("feedback"))

        pairs = sheet.each("pairs", read, True, 2, 6)
        return MatchItem(**common, pairs=pairs, also=sheet.texts("also"))

    def texts(self, item: MatchItem) -> Iterator[Text]:
        """Return both sides of each pair and its feedback."""
        for pair in item.pairs:
            yield from (pair.left, pair.right, pair.feedback)
        yield from item.also

    def complaints(self, item: MatchItem, asked: Asked) -> Iterator[Complaint]:
        """Return sides that read the same."""
        yield from differ(asked, "pairs", (p.left for p in item.pairs))
        yield from differ(asked, "right sides", (*(p.right for p in item.pairs), *item.also))

    def score(self, item: MatchItem, asked: Asked, given: Any) -> Judged:
        """Return the verdict on the ids of right sides by pair."""
        texts = item.rights(asked)
        if not isinstance(given, Mapping) or {str(k) for k in given} != {p.id for p in item.pairs}:
            raise BadInput("answer", "not complete", "a partner for every one")
        if not all(isinstance(v, str) and v in texts for v in given.values()):
            raise BadInput("answer", "not one of the partners", "a partner for every one")
        off = [p.feedback for p in item.pairs if texts[given[p.id]] != asked.fill(p.right)]
        return judged(asked, not off, len(off) * 2 <= len(item.pairs), off)

    def right(self, item: MatchItem, asked: Asked) -> Any:
        """Return the id of the right side by pair."""
        ids = {text: id for id, text in item.rights(asked).items()}
        return {p.id: ids[asked.fill(p.right)] for p in item.pairs}

    def words(self, item: MatchItem, asked: Asked, given: Any) -> str:
        """Return each left side with what was put to it."""
        texts = item.rights(asked)
        return "; ".join(f"{asked.fill(p.left)}: {texts[given[p.id]]}" for p in item.pairs)

    def shown(self, item: MatchItem, asked: Asked) -> Data:
        """Return ``lefts`` and ``rights`` (id, html)."""
        rights = [{"id": id, "html": line(text)} for id, text in item.rights(asked).items()]
        return {"lefts": rows(asked, ((p.id, p.left) for p in item.pairs)), "rights": rights}

    def response(self, given: Any) -> str:
        """Return the pairs of ids."""
        if not isinstance(given, dict):
            return super().response(given)
        return "[,]".join(f"{k}[.]{v}" for k, v in given.items())

    def qti(self, item: MatchItem, asked: Asked, qti: Qti) -> None:
        """Write a match interaction."""
        qti.declare("multiple", "directedPair", map(" ".join, self.right(item, asked).items()))
        interaction = qti.interaction(
            "match-interaction", shuffle="true", max_associations=f"{len(item.pairs)}"
        )
        lefts = {p.id: asked.fill(p.left) for p in item.pairs}
        for side in (lefts, item.rights(asked)):
            group = qti.add(interaction, "qti-simple-match-set")
            qti.choices(group, side.items(), "associable-choice", {"match-max": "1"})
        qti.scored(correct, "\n\n".join(asked.fill(p.feedback) for p in item.pairs))
