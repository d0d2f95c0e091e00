"""What the READMEs of the rooms name is there, and DEVELOPERS.md stays a page of architecture."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
READMES = [
    path
    for top in ("assets", "deploy", "tests", "tipsim")
    for path in sorted((ROOT / top).glob("**/README.md"))
]
LONGEST = 150


def named(text: str) -> list[str]:
    """Names in the first column of tables whose head is "file", "path" or "folder"."""
    out, wanted = [], False
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if not line.startswith("|"):
            wanted = False
        elif cells[0] in ("file", "path", "folder"):
            wanted = True
        elif wanted:
            out += re.findall(r"`([^`]+)`", cells[0])
    return out


@pytest.mark.parametrize("path", READMES, ids=lambda p: p.parent.relative_to(ROOT).as_posix())
def test_every_file_that_a_room_s_readme_names_is_there(path: Path) -> None:
    names = named(path.read_text(encoding="utf-8"))
    gone = [
        name
        for name in names
        if not any(list(path.parent.glob(name.rstrip("/") + end)) for end in ("", ".*"))
    ]
    assert gone == []


def test_every_room_has_a_readme_and_the_house_links_to_it() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST
    links = re.findall(r"\]\(([^)]+\.md)\)", text)
    assert len(links) > 8
    for link in links:
        assert (ROOT / link).is_file(), link
    rooms = {"setup", "flow", "motion", "heat", "tissue", "lesson", "app"}
    assert {f"tipsim/{room}/README.md" for room in rooms} <= set(links)
