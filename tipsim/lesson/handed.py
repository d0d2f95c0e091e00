"""Papers that stand beside the lessons: checklists and plans for a class, in Markdown."""

import re
from pathlib import Path

from tipsim.lesson.markdown import html
from tipsim.paths import lessons_folder
from tipsim.setup.errors import BadInput, nearest

FOLDER = "papers"
_BOX = re.compile(r"<li>(?:<p>)?\[ \] ")


def papers(folder: Path | None = None) -> dict[str, str]:
    """Return the titles of all papers by id, in the order of their names.

    >>> papers()["setting-up"]
    'Setting up: checklist and alarms'
    """
    found = sorted((folder or lessons_folder()).glob(f"{FOLDER}/*.md"))
    return {path.stem: _title(path.read_text(encoding="utf-8")) for path in found}


def paper(id: str) -> dict[str, str]:
    """Return a paper as a title and HTML, with boxes to tick.

    Raises
    ------
    BadInput
        For an unknown id.

    Examples
    --------
    >>> "box" in paper("setting-up")["html"]
    True
    """
    known = papers()
    if id not in known:
        raise BadInput("paper", f'"{id[:60]}"', ", ".join(known) + nearest(id, known))
    text = (lessons_folder() / FOLDER / f"{id}.md").read_text(encoding="utf-8")
    body = html(text.partition("\n")[2], "", {})
    ticked = _BOX.sub('<li class="tick"><span class="box"></span> ', body)
    return {"title": known[id], "html": ticked}


def _title(text: str) -> str:
    return text.partition("\n")[0].removeprefix("#").strip()
