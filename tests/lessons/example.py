"""The example of the authors' guide, as files."""

import re
from pathlib import Path

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
