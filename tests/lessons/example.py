"""The example of the authors' guide, as files."""

import re
from pathlib import Path

from tipsim.lesson.check import check_folder
from tipsim.paths import lessons_folder

TRACKS = """
- id: self-study
  title: Self-study
  text: Everything.
  lessons: [example-power]
"""
GLOSSARY = """
- term: stroke
  also: [strokes]
  text: Peak-to-peak travel.
"""
EVERY_KIND = Path(__file__).with_name("every_kind.yaml")
_BLOCK = re.compile(r"<!-- example: (\S+) -->\n````\w+\n(.*?)````\n<!-- end -->", re.DOTALL)


def write_example(folder: Path) -> Path:
    """Write the guide's example as a whole folder of lessons; gives the lesson's own folder."""
    guide = lessons_folder().joinpath("README.md").read_text(encoding="utf-8")
    own = folder / "01-example"
    own.mkdir(parents=True)
    for name, text in _BLOCK.findall(guide):
        own.joinpath(name).write_text(text, encoding="utf-8")
    folder.joinpath("tracks.yaml").write_text(TRACKS, encoding="utf-8")
    folder.joinpath("glossary.yaml").write_text(GLOSSARY, encoding="utf-8")
    return own


def write_every_kind(folder: Path) -> Path:
    """Write the guide's example with one item more of each kind, all of them in its quiz."""
    own = write_example(folder)
    items = EVERY_KIND.read_text(encoding="utf-8")
    own.joinpath("kinds.yaml").write_text(items, encoding="utf-8")
    quiz = own / "lesson.md"
    ids = re.findall(r"^- id: (\S+)", items, re.MULTILINE)
    text = quiz.read_text(encoding="utf-8")
    every = f"items: [{', '.join(['example-number', *ids])}]"
    quiz.write_text(text.replace("items: [example-number]", every), encoding="utf-8")
    return own


def change(path: Path, old: str, new: str, count: int = -1) -> str:
    """Replace what must stand in a file; gives the text as it was."""
    text = path.read_text(encoding="utf-8")
    assert old in text, (path.name, old)
    path.write_text(text.replace(old, new, count), encoding="utf-8")
    return text


def complaints(own: Path) -> list[str]:
    """What the check says about the folder that holds a lesson."""
    return [str(fault) for fault in check_folder(own.parent)[1]]
