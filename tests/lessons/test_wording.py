"""How the lessons are worded, as far as a machine can tell."""

import re

import pytest

from tipsim.lesson.read import school
from tipsim.paths import lessons_folder

AMERICAN = re.compile(
    r"\b(?:toward(?!s)|colors?|colored|center(?:ed|s)?|fibers?|gray|behaviors?|traveled|traveling"
    r"|modeled|modeling|(?:micro|milli|centi|kilo)meters?|(?:milli)?liters?|aluminum)\b",
    re.IGNORECASE,
)
"""American spelling where the lessons use the British one."""
SURE = re.compile(r"\bnobody (?:has|ever)\b|\bno one has\b|\bnever been (?:measured|published)\b")
"""What was looked for and not found is said so; that it does not exist cannot be known."""
KELVIN = re.compile(r"\bkelvins?\b|\d\}? K\b|^  unit: K$", re.IGNORECASE)
"""Clinicians read degrees; kelvin stays in the library and in quoted abstracts."""
SHOWN_AND_TERM = re.compile(r"\[\[([^\[\]|]+)\|([^\[\]|]+)\]\]")
LONGEST_TERM = 40
"""Words of an explanation in the glossary."""


def lines() -> list[tuple[str, str]]:
    """Every line of the lessons with its place."""
    folder = lessons_folder()
    files = sorted([*folder.glob("*/*.md"), *folder.glob("*/*.yaml"), folder / "glossary.yaml"])
    return [
        (f"{file.relative_to(folder)}:{number}", line)
        for file in files
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)
        if not line.startswith("# ")
    ]


@pytest.mark.parametrize(
    ("pattern", "fault"),
    [
        (AMERICAN, "it bends toward you"),
        (SURE, "how far it goes nobody has measured"),
        (KELVIN, "it is 3 K warmer"),
    ],
    ids=["spelling", "too sure", "kelvin"],
)
def test_words_that_do_not_stand_in_lessons(pattern: re.Pattern[str], fault: str) -> None:
    assert pattern.search(fault)
    found = [f"{place}: {m.group()}" for place, line in lines() if (m := pattern.search(line))]
    assert found == []


def test_the_second_part_of_a_mark_is_the_term() -> None:
    """`[[strokes|stroke]]`, never `[[stroke|strokes]]`."""
    terms = {term.term.lower() for term in school().glossary.values()}
    marks = [(place, *found) for place, line in lines() for found in SHOWN_AND_TERM.findall(line)]
    assert marks
    assert [mark for mark in marks if mark[2].lower() not in terms] == []


def test_terms_are_explained_shortly() -> None:
    terms = {term.term: len(term.text.split()) for term in school().glossary.values()}
    assert {name: words for name, words in terms.items() if words > LONGEST_TERM} == {}
