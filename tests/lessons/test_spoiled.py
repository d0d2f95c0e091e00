"""Lessons that were spoiled are reported by line and name, and never crash the check."""

import random
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tipsim.lesson.check import check_folder
from tipsim.lesson.faults import Faults
from tipsim.lesson.read import read_school

FILES = ("lesson.md", "items.yaml", "kinds.yaml", "guide.md", "../tracks.yaml", "../glossary.yaml")
SIGNS = "{}[]()|>:&*!%@`'\"#-?,=<$\\\t \u00e9\u2028\0 0 9 a.b truth **"
KEY = re.compile(r"(?P<start>[ -]*)(?P<key>[a-z_]+):(?P<rest>( .*)?)$")


def keys(text: str) -> Iterator[tuple[int, re.Match[str]]]:
    """Each line of YAML that begins with a key; of a lesson, of its front matter only."""
    lines = text.split("\n")
    end = lines.index("---", 1) if lines[0] == "---" else len(lines)
    for number, line in enumerate(lines[:end]):
        found = KEY.match(line)
        if found:
            yield number, found


def test_a_misspelled_key_is_reported_where_it_stands(own: Path, subtests: pytest.Subtests) -> None:
    """Every key of the example's files, once in each file."""
    tried = 0
    for file in ("lesson.md", "items.yaml", "kinds.yaml", "../tracks.yaml", "../glossary.yaml"):
        path = own / file
        text = path.read_text(encoding="utf-8")
        last = {
            (found["key"], len(found["start"])): (number, found) for number, found in keys(text)
        }
        for number, found in last.values():
            key = found["key"]
            spoiled = text.split("\n")
            spoiled[number] = spoiled[number].replace(f"{key}:", f"{key}zq:", 1)
            path.write_text("\n".join(spoiled), encoding="utf-8")
            faults = Faults()
            read_school(own.parent, faults)
            tried += 1
            sentence = f":{number + 1}: {key}zq is not a known key; allowed: "
            if key == "kind":  # What else an item may hold depends on it.
                sentence = ": kind is missing; allowed: one, several, "
            with subtests.test(f"{file}:{number + 1}: {key}"):
                assert any(path.name in str(f) and sentence in str(f) for f in faults), list(faults)
        path.write_text(text, encoding="utf-8")
    assert tried > 40


def spoil(text: str, chance: random.Random) -> str:
    """Do one of the things that happen to files: a line lost, doubled, moved; signs put in."""
    lines = text.split("\n")
    at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    what = chance.randrange(6)
    if what == 0:
        del lines[at]
    elif what == 1:
        lines.insert(other, lines[at])
    elif what == 2:
        lines[at] = lines[at][: chance.randrange(len(lines[at]) + 1)]
    elif what == 3:
        lines[at] = " " * chance.randrange(5) + lines[at].strip()
    elif what == 4:
        return text[: chance.randrange(len(text))]
    else:
        place = chance.randrange(len(lines[at]) + 1)
        signs = "".join(chance.choices(SIGNS, k=chance.randrange(1, 4)))
        lines[at] = lines[at][:place] + signs + lines[at][place:]
    return "\n".join(lines)


def test_whatever_is_spoiled_is_reported_in_lines(own: Path) -> None:
    """At random; most of it is a mistake that the check finds, some only another wording."""
    reported = 0
    seeds = [*range(39), 357]
    texts = {file: (own / file).read_text(encoding="utf-8") for file in FILES}
    for seed in seeds:
        chance = random.Random(seed)
        for file, text in texts.items():
            (own / file).write_text(text, encoding="utf-8")
        for _ in range(chance.randrange(1, 4)):
            path = own / chance.choice(FILES)
            path.write_text(spoil(path.read_text(encoding="utf-8"), chance), encoding="utf-8")
        faults = [str(fault) for fault in check_folder(own.parent)[1]]
        assert [f for f in faults if "\n" in f or not f.startswith("lessons/")] == [], seed
        reported += bool(faults)
    assert reported > 0.7 * len(seeds)
