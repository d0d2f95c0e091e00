"""Items as QTI 3.0: one assessment item for each variant.

How the kinds are mapped:

============  ==================================================================================
one, several  choice interaction; the feedback of each choice
number        text entry of a number, judged with the item's tolerance; feedback of typical values
order, match  order interaction, match interaction
place         slider from the end to the hub, in tenths of a millimetre
sketch, goal  QTI has no interaction that draws a curve or sets a simulator: an extended text, not
              scored, with what was wanted as feedback
============  ==================================================================================
"""

from collections.abc import Callable, Iterable, Mapping
from xml.etree import ElementTree as ET

from tipsim.lesson.answer import in_words, right_answer
from tipsim.lesson.ask import Asked
from tipsim.lesson.format import (
    ChoiceItem,
    GoalItem,
    MatchItem,
    NumberItem,
    OrderItem,
    PlaceItem,
    SketchItem,
    Text,
)
from tipsim.lesson.markdown import html, unmarked
from tipsim.lesson.quantities import solved
from tipsim.lesson.show import values_query

NAMESPACE = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
SCHEMA = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd"
_XSI = "http://www.w3.org/2001/XMLSchema-instance"
_STEP = 0.1
"""Step of a slider [mm]."""
PICTURES = "../pictures/"
"""Where an item finds pictures: this, the lesson's id, a slash, the file."""


def identifier(asked: Asked, number: int) -> str:
    """Give the identifier of a variant, counted from 1."""
    return asked.item.id if len(asked.item.variants) == 1 else f"{asked.item.id}-v{number}"


def assessment_item(asked: Asked, id: str) -> str:
    """Write one variant of an item as a QTI 3.0 assessment item.

    Parameters
    ----------
    asked : Asked
    id : str
        See `identifier`.

    Returns
    -------
    str
        An XML document.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> text = assessment_item(ask(lesson, lesson.items["stroke-paper"], 0), "stroke-paper")
    >>> ET.fromstring(text).get("identifier")
    'stroke-paper'
    """
    root = ET.Element(
        "qti-assessment-item",
        {
            "xmlns": NAMESPACE,
            "xmlns:xsi": _XSI,
            "xsi:schemaLocation": f"{NAMESPACE} {SCHEMA}",
            "identifier": id,
            "title": f"{asked.lesson.title}: {id}",
            "xml:lang": "en",
            "adaptive": "false",
            "time-dependent": "false",
        },
    )
    _KINDS[asked.item.kind](root, asked)
    # One line a part; deeper down, spaces would come between words.
    root.text = "\n"
    for part in root:
        part.tail = "\n"
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def _rich(parent: ET.Element, asked: Asked, text: str) -> None:
    """Put Markdown into an element; ET has no fragments, so its parts are moved over."""
    source = html(unmarked(text), f"{PICTURES}{asked.lesson.id}/")
    parent.extend(ET.fromstring(f"<div>{source}</div>"))


def _inline(parent: ET.Element, text: str) -> None:
    """Put one paragraph of Markdown into an element, without the paragraph."""
    (paragraph,) = ET.fromstring(f"<div>{html(unmarked(text))}</div>")
    parent.text = paragraph.text
    parent.extend(paragraph)


def _declare(root: ET.Element, cardinality: str, base: str, right: Iterable[str]) -> None:
    """Declare the response with its right values, and the outcomes."""
    attributes = {"identifier": "RESPONSE", "cardinality": cardinality, "base-type": base}
    response = ET.SubElement(root, "qti-response-declaration", attributes)
    values = list(right)
    if values:
        correct = ET.SubElement(response, "qti-correct-response")
        for value in values:
            ET.SubElement(correct, "qti-value").text = value
    for name, cardinality_, base_ in (
        ("SCORE", "single", "float"),
        ("MAXSCORE", "single", "float"),
        ("FEEDBACK", "multiple", "identifier"),
    ):
        outcome = ET.SubElement(
            root,
            "qti-outcome-declaration",
            {"identifier": name, "cardinality": cardinality_, "base-type": base_},
        )
        if name != "FEEDBACK":
            default = ET.SubElement(outcome, "qti-default-value")
            most = "1" if name == "MAXSCORE" and values else "0"
            ET.SubElement(default, "qti-value").text = most


def _body(root: ET.Element, asked: Asked) -> ET.Element:
    body = ET.SubElement(root, "qti-item-body")
    _rich(body, asked, asked.fill(asked.item.text))
    return body


def _interaction(body: ET.Element, name: str, **attributes: str) -> ET.Element:
    dashed = {k.replace("_", "-"): v for k, v in attributes.items()}
    return ET.SubElement(body, f"qti-{name}", {"response-identifier": "RESPONSE", **dashed})


def _variable(parent: ET.Element) -> None:
    ET.SubElement(parent, "qti-variable", {"identifier": "RESPONSE"})


def _set(parent: ET.Element, outcome: str, base: str, value: str) -> None:
    """Set an outcome; feedback is added to what is there."""
    set_ = ET.SubElement(parent, "qti-set-outcome-value", {"identifier": outcome})
    spot = set_
    if outcome == "FEEDBACK":
        spot = ET.SubElement(set_, "qti-multiple")
        ET.SubElement(spot, "qti-variable", {"identifier": outcome})
    ET.SubElement(spot, "qti-base-value", {"base-type": base}).text = value


class _Processing:
    """Response processing as a list of conditions, and the feedback that they show."""

    def __init__(self, root: ET.Element, asked: Asked) -> None:
        self.root, self.asked = root, asked
        self.element = ET.SubElement(root, "qti-response-processing")
        self.feedback: list[tuple[str, str]] = []

    def scored(self, test: Callable[[ET.Element], None], wrong: str) -> None:
        """Score 1 where a test holds; else show the general feedback."""
        condition = ET.SubElement(self.element, "qti-response-condition")
        when = ET.SubElement(condition, "qti-response-if")
        test(when)
        _set(when, "SCORE", "float", "1")
        right = self.asked.item.right
        if right:
            _set(when, "FEEDBACK", "identifier", self._add("right", self.asked.fill(right)))
        if wrong:
            otherwise = ET.SubElement(condition, "qti-response-else")
            _set(otherwise, "FEEDBACK", "identifier", self._add("wrong", wrong))

    def told(self, name: str, text: str, test: Callable[[ET.Element], None]) -> None:
        """Show feedback where a test holds."""
        condition = ET.SubElement(self.element, "qti-response-condition")
        when = ET.SubElement(condition, "qti-response-if")
        test(when)
        _set(when, "FEEDBACK", "identifier", self._add(name, text))

    def always(self, text: str) -> None:
        """Show feedback for any answer."""
        _set(self.element, "FEEDBACK", "identifier", self._add("wanted", text))

    def _add(self, name: str, text: str) -> str:
        self.feedback.append((f"told-{name}", text))
        return f"told-{name}"

    def finish(self) -> None:
        """Write the texts of the feedback behind everything."""
        for id, text in self.feedback:
            attributes = {"outcome-identifier": "FEEDBACK", "identifier": id, "show-hide": "show"}
            modal = ET.SubElement(self.root, "qti-modal-feedback", attributes)
            _rich(ET.SubElement(modal, "qti-content-body"), self.asked, text)


def _correct(parent: ET.Element) -> None:
    match = ET.SubElement(parent, "qti-match")
    _variable(match)
    ET.SubElement(match, "qti-correct", {"identifier": "RESPONSE"})


def _holds(value: str, multiple: bool) -> Callable[[ET.Element], None]:
    """Give a test of whether the response is, or contains, an identifier."""

    def test(parent: ET.Element) -> None:
        where = ET.SubElement(parent, "qti-member" if multiple else "qti-match")
        ET.SubElement(where, "qti-base-value", {"base-type": "identifier"}).text = value
        _variable(where)

    return test


def _near(value: float, allowed: float) -> Callable[[ET.Element], None]:
    """Give a test of whether the response is within a tolerance of a value."""

    def test(parent: ET.Element) -> None:
        attributes = {"tolerance-mode": "absolute", "tolerance": f"{allowed:.9g} {allowed:.9g}"}
        equal = ET.SubElement(parent, "qti-equal", attributes)
        _variable(equal)
        ET.SubElement(equal, "qti-base-value", {"base-type": "float"}).text = f"{value:.12g}"

    return test


def _choice(root: ET.Element, asked: Asked) -> None:
    item = asked.item
    assert isinstance(item, ChoiceItem)
    several = item.kind == "several"
    right = [c.id for c in item.choices if c.id in asked.right_choices]
    _declare(root, "multiple" if several else "single", "identifier", right)
    interaction = _interaction(
        _body(root, asked),
        "choice-interaction",
        shuffle=f"{not item.keep_order}".lower(),
        max_choices="0" if several else "1",
        min_choices="1",
    )
    for choice in item.choices:
        simple = ET.SubElement(interaction, "qti-simple-choice", {"identifier": choice.id})
        _inline(simple, asked.fill(choice.text))
    processing = _Processing(root, asked)
    processing.scored(_correct, "")
    for choice in item.choices:
        # With several, feedback is for what is off: ticked and not right.
        if not several or choice.id not in right:
            processing.told(choice.id, asked.fill(choice.feedback), _holds(choice.id, several))
    processing.finish()


def _number(root: ET.Element, asked: Asked) -> None:
    item = asked.item
    assert isinstance(item, NumberItem)
    assert asked.truth is not None
    _declare(root, "single", "float", [f"{asked.truth:.6g}"])
    body = _body(root, asked)
    for text in item.worked[: item.shown]:
        _rich(body, asked, asked.fill(text))
    line = ET.SubElement(body, "p")
    entry = _interaction(line, "text-entry-interaction", expected_length="12")
    entry.tail = " " + " ".join(filter(None, (item.unit, item.means)))
    processing = _Processing(root, asked)
    allowed = asked.tolerance(item.tolerance, asked.truth)
    processing.scored(_near(asked.truth, allowed), asked.fill(item.otherwise))
    _typical(processing, asked, item)
    processing.finish()


def _typical(processing: _Processing, asked: Asked, item: NumberItem | PlaceItem) -> None:
    for number, each in enumerate(item.wrong, 1):
        value = asked.number(each.value, asked.truth)
        near = _near(value, asked.tolerance(item.tolerance, value))
        processing.told(f"typical-{number}", asked.fill(each.feedback), near)


def _place(root: ET.Element, asked: Asked) -> None:
    item = asked.item
    assert isinstance(item, PlaceItem)
    length = float(solved(asked.values.sides[item.on]).from_end[0])
    steps = int(length / _STEP)
    _declare(root, "single", "float", [f"{round(t / _STEP) * _STEP:.1f}" for t in asked.truths[:1]])
    body = _body(root, asked)
    ET.SubElement(body, "p").text = "Distance from the end, in mm:"
    _interaction(
        body,
        "slider-interaction",
        lower_bound="0",
        upper_bound=f"{steps * _STEP:.1f}",
        step=f"{_STEP:g}",
        step_label="true",
    )
    processing = _Processing(root, asked)

    def within(parent: ET.Element) -> None:
        anyone = ET.SubElement(parent, "qti-or")
        for truth in asked.truths:
            _near(truth, asked.tolerance(item.tolerance, truth))(anyone)

    processing.scored(within, asked.fill(item.otherwise))
    _typical(processing, asked, item)
    processing.finish()


def _order(root: ET.Element, asked: Asked) -> None:
    item = asked.item
    assert isinstance(item, OrderItem)
    _declare(root, "ordered", "identifier", asked.right_order)
    interaction = _interaction(_body(root, asked), "order-interaction", shuffle="true")
    texts = {e.id: e.text for e in item.entries}
    for id in asked.entries:
        simple = ET.SubElement(interaction, "qti-simple-choice", {"identifier": id})
        _inline(simple, asked.fill(texts[id]))
    processing = _Processing(root, asked)
    processing.scored(_correct, _listed(asked, (e.feedback for e in item.entries)))
    processing.finish()


def _match(root: ET.Element, asked: Asked) -> None:
    item = asked.item
    assert isinstance(item, MatchItem)
    right = right_answer(asked)
    _declare(root, "multiple", "directedPair", [f"{p.id} {right[p.id]}" for p in item.pairs])
    interaction = _interaction(
        _body(root, asked),
        "match-interaction",
        shuffle="true",
        max_associations=f"{len(item.pairs)}",
    )
    lefts = [(p.id, asked.fill(p.left)) for p in item.pairs]
    for side in (lefts, asked.rights):
        group = ET.SubElement(interaction, "qti-simple-match-set")
        for id, text in side:
            attributes = {"identifier": id, "match-max": "1"}
            _inline(ET.SubElement(group, "qti-simple-associable-choice", attributes), text)
    processing = _Processing(root, asked)
    processing.scored(_correct, _listed(asked, (p.feedback for p in item.pairs)))
    processing.finish()


def _listed(asked: Asked, texts: Iterable[Text]) -> str:
    return "\n\n".join(asked.fill(t) for t in texts)


def _free(root: ET.Element, asked: Asked) -> None:
    """Write a sketch or a goal: an extended text that nobody scores."""
    item = asked.item
    _declare(root, "single", "string", ())
    body = _body(root, asked)
    if isinstance(item, GoalItem):
        _rich(body, asked, "\n".join(f"- {asked.fill(c.text)}" for c in item.conditions))
    ET.SubElement(body, "p").text = f"Bench: {values_query(asked.values)}"
    _interaction(body, "extended-text-interaction", expected_lines="4")
    processing = _Processing(root, asked)
    assert isinstance(item, SketchItem | GoalItem)
    if isinstance(item, SketchItem):
        told = _listed(asked, (c.feedback for c in item.criteria))
        processing.always(f"{in_words(asked, right_answer(asked))}.\n\n{told}")
    else:
        processing.always(in_words(asked, right_answer(asked)))
    processing.finish()


_KINDS: Mapping[str, Callable[[ET.Element, Asked], None]] = {
    "one": _choice,
    "several": _choice,
    "number": _number,
    "order": _order,
    "match": _match,
    "place": _place,
    "sketch": _free,
    "goal": _free,
}
