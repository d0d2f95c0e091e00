"""Parts of a QTI 3.0 item: what each kind of question puts its item together from."""

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from xml.etree import ElementTree as ET

from tipsim.lesson.ask import Asked, values_query
from tipsim.lesson.markdown import html, unmarked

PICTURES = "../pictures/"
"""Where an item finds pictures: this, the lesson's id, a slash, the file."""
Test = Callable[[ET.Element], None]
"""What puts a test of the response into a condition."""


class Qti:
    """One item that is being written.

    Parameters
    ----------
    root : Element
        The assessment item; response, body, processing and feedback are added in this order.
    asked : Asked
    """

    def __init__(self, root: ET.Element, asked: Asked) -> None:
        self.root, self.asked = root, asked
        self.feedback: list[tuple[str, str]] = []

    add = staticmethod(ET.SubElement)

    @cached_property
    def body(self) -> ET.Element:
        """The body, which begins with the question."""
        body = ET.SubElement(self.root, "qti-item-body")
        self.rich(body, self.asked.fill(self.asked.item.text))
        return body

    @cached_property
    def processing(self) -> ET.Element:
        """What judges the response."""
        return ET.SubElement(self.root, "qti-response-processing")

    def rich(self, parent: ET.Element, text: str) -> None:
        """Put Markdown into an element; ET has no fragments, so its parts are moved over."""
        source = html(unmarked(text), f"{PICTURES}{self.asked.lesson.id}/")
        parent.extend(ET.fromstring(f"<div>{source}</div>"))

    def declare(self, cardinality: str, base: str, right: Iterable[str]) -> None:
        """Declare the response with its right values, and the outcomes."""
        values = list(right)
        declaration = _declared(self.root, "response", "RESPONSE", cardinality, base)
        if values:
            answer = ET.SubElement(declaration, "qti-correct-response")
            for value in values:
                ET.SubElement(answer, "qti-value").text = value
        for name, default in (("SCORE", "0"), ("MAXSCORE", "1" if values else "0")):
            outcome = _declared(self.root, "outcome", name, "single", "float")
            value_of = ET.SubElement(outcome, "qti-default-value")
            ET.SubElement(value_of, "qti-value").text = default
        _declared(self.root, "outcome", "FEEDBACK", "multiple", "identifier")

    def interaction(
        self, name: str, parent: ET.Element | None = None, **attributes: str
    ) -> ET.Element:
        """Put what takes the response into the body, or a part of it."""
        dashed = {k.replace("_", "-"): v for k, v in attributes.items()}
        parent = self.body if parent is None else parent
        return ET.SubElement(parent, f"qti-{name}", {"response-identifier": "RESPONSE", **dashed})

    def choices(
        self,
        parent: ET.Element,
        texts: Iterable[tuple[str, str]],
        name: str = "choice",
        attributes: Mapping[str, str] | None = None,
    ) -> None:
        """Put choices, id and one paragraph of Markdown, into an interaction."""
        for id, text in texts:
            more = {"identifier": id, **(attributes or {})}
            choice = ET.SubElement(parent, f"qti-simple-{name}", more)
            (paragraph,) = ET.fromstring(f"<div>{html(unmarked(text))}</div>")
            choice.text = paragraph.text
            choice.extend(paragraph)

    def scored(self, test: Test, wrong: str) -> None:
        """Score 1 where a test is passed; else show the general feedback."""
        condition = ET.SubElement(self.processing, "qti-response-condition")
        when = ET.SubElement(condition, "qti-response-if")
        test(when)
        _set(when, "SCORE", "float", "1")
        if self.asked.item.right:
            self._show(when, "right", self.asked.fill(self.asked.item.right))
        if wrong:
            self._show(ET.SubElement(condition, "qti-response-else"), "wrong", wrong)

    def feedback_if(self, test: Test, name: str, text: str) -> None:
        """Show feedback where a test is passed."""
        condition = ET.SubElement(self.processing, "qti-response-condition")
        when = ET.SubElement(condition, "qti-response-if")
        test(when)
        self._show(when, name, text)

    def unscored(self, wanted: str, more: str = "") -> None:
        """Ask for a text that nobody scores; any answer shows what was wanted."""
        self.declare("single", "string", ())
        self.rich(self.body, more)
        ET.SubElement(self.body, "p").text = f"Bench: {values_query(self.asked.values)}"
        self.interaction("extended-text-interaction", expected_lines="4")
        self._show(self.processing, "wanted", wanted)

    def _show(self, parent: ET.Element, name: str, text: str) -> None:
        self.feedback.append((f"told-{name}", text))
        _set(parent, "FEEDBACK", "identifier", f"told-{name}")

    def finish(self) -> None:
        """Write the texts of the feedback behind everything."""
        for id, text in self.feedback:
            attributes = {"outcome-identifier": "FEEDBACK", "identifier": id, "show-hide": "show"}
            modal = ET.SubElement(self.root, "qti-modal-feedback", attributes)
            self.rich(ET.SubElement(modal, "qti-content-body"), text)


def _declared(
    root: ET.Element, what: str, identifier: str, cardinality: str, base: str
) -> ET.Element:
    attributes = {"identifier": identifier, "cardinality": cardinality, "base-type": base}
    return ET.SubElement(root, f"qti-{what}-declaration", attributes)


def _set(parent: ET.Element, outcome: str, base: str, value: str) -> None:
    """Set an outcome; feedback is added to what is there."""
    spot = ET.SubElement(parent, "qti-set-outcome-value", {"identifier": outcome})
    if outcome == "FEEDBACK":
        spot = ET.SubElement(spot, "qti-multiple")
        ET.SubElement(spot, "qti-variable", {"identifier": outcome})
    ET.SubElement(spot, "qti-base-value", {"base-type": base}).text = value


def _response(parent: ET.Element) -> None:
    ET.SubElement(parent, "qti-variable", {"identifier": "RESPONSE"})


def correct(parent: ET.Element) -> None:
    """Test whether the response is the right one."""
    match = ET.SubElement(parent, "qti-match")
    _response(match)
    ET.SubElement(match, "qti-correct", {"identifier": "RESPONSE"})


def has(value: str, multiple: bool) -> Test:
    """Return a test of whether the response is, or contains, an identifier."""

    def test(parent: ET.Element) -> None:
        where = ET.SubElement(parent, "qti-member" if multiple else "qti-match")
        ET.SubElement(where, "qti-base-value", {"base-type": "identifier"}).text = value
        _response(where)

    return test


def near(value: float, allowed: float) -> Test:
    """Return a test of whether the response is within a tolerance of a value."""

    def test(parent: ET.Element) -> None:
        attributes = {"tolerance-mode": "absolute", "tolerance": f"{allowed:.9g} {allowed:.9g}"}
        equal = ET.SubElement(parent, "qti-equal", attributes)
        _response(equal)
        ET.SubElement(equal, "qti-base-value", {"base-type": "float"}).text = f"{value:.12g}"

    return test


def any_of(tests: Iterable[Test]) -> Test:
    """Return a test of whether one of some tests is passed."""
    every = list(tests)

    def test(parent: ET.Element) -> None:
        one = ET.SubElement(parent, "qti-or")
        for each in every:
            each(one)

    return test
