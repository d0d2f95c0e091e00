"""Lessons spoiled at random are told of, never a crash."""

import random
from pathlib import Path

import pytest

from tests.lessons.example import write_example
from tipsim.lesson.check import check_folder

KINDS = Path(__file__).parent / "every_kind.yaml"
FILES = ("lesson.md", "items.yaml", "kinds.yaml", "guide.md", "../tracks.yaml", "../glossary.yaml")
SIGNS = "{}[]()|>:&*!%@`'\"#-?,=<$\\\t \u00e9\u2028\0 0 9 a.b truth **"


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


@pytest.mark.parametrize("seed", [*range(119), 357])
def test_whatever_is_spoiled_is_told_in_lines(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    own = write_example(tmp_path / "lessons")
    own.joinpath("kinds.yaml").write_text(KINDS.read_text(encoding="utf-8"), encoding="utf-8")
    for _ in range(chance.randrange(1, 4)):
        path = own / chance.choice(FILES)
        path.write_text(spoil(path.read_text(encoding="utf-8"), chance), encoding="utf-8")
    _, faults = check_folder(own.parent)
    for fault in map(str, faults):
        assert "\n" not in fault
        assert fault.startswith("lessons/")
