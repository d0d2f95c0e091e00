"""Records for teachers: xAPI statements in JSON lines, and a CSV of results.

Neither holds a learner's code, which opens the record, but a name made from it that always is the
same and cannot be turned back.
"""

import csv
import hashlib
import io
import json
import uuid
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any

from tipsim.lesson.fill import show_number
from tipsim.lesson.format import Item, School
from tipsim.lesson.kinds import PARTLY, RIGHT, Kind, kind_of
from tipsim.lesson.records import Answer, Learner, Records

HOME = "https://tipsim.invalid"
"""Where ids begin. The name resolves nowhere, by design: ids need only be unique."""
_VERBS = {
    "answered": "http://adlnet.gov/expapi/verbs/answered",
    "completed": "http://adlnet.gov/expapi/verbs/completed",
}
_ITEM = "http://adlnet.gov/expapi/activities/cmi.interaction"
_LESSON = "http://adlnet.gov/expapi/activities/lesson"
_SCORES = {RIGHT: 1.0, PARTLY: 0.5}
COLUMNS = (
    *("learner", "nickname", "time", "lesson", "step", "run", "item", "objective", "kind"),
    *("seed", "variant", "given", "verdict", "confidence"),
)


@lru_cache(maxsize=1024)
def alias(code: str) -> str:
    """Return the name that a learner has outside: made from the code, slow to be guessed back.

    Examples
    --------
    >>> alias("7KQ2M-XD4TB") == alias("7KQ2M-XD4TB") != alias("7KQ2M-XD4TC")
    True
    >>> len(alias("7KQ2M-XD4TB"))
    16
    """
    return hashlib.scrypt(code.encode(), salt=b"tipsim learner", n=2**14, r=8, p=1, dklen=8).hex()


def xapi(school: School, records: Records, learners: Iterable[Learner]) -> str:
    """Write answers and finished lessons as xAPI 1.0.3 statements, one a line.

    Parameters
    ----------
    school : School
        What names and kinds are taken from; answers to items that are gone are kept.
    learners : iterable of Learner
        Whose records.
    """
    lines = []
    for learner in learners:
        lines += [_answered(school, learner, a) for a in records.answers(learner.code)]
        for progress in records.progress(learner.code).values():
            if progress.finished is not None:
                time = progress.finished.isoformat()
                lines.append(_completed(school, learner, progress.lesson, time))
    return "".join(json.dumps(x, ensure_ascii=False, allow_nan=False) + "\n" for x in lines)


def _statement(learner: Learner, verb: str, key: str, time: str) -> dict[str, Any]:
    who = alias(learner.code)
    return {
        "id": str(uuid.uuid5(uuid.NAMESPACE_URL, f"{HOME}/{verb}/{who}/{key}")),
        "actor": {"objectType": "Agent", "account": {"homePage": HOME, "name": who}},
        "verb": {"id": _VERBS[verb], "display": {"en": verb}},
        "timestamp": time,
    }


def _activity(path: str, type: str, name: str, **more: Any) -> dict[str, Any]:
    definition = {"type": type, "name": {"en": name}, **more}
    return {"objectType": "Activity", "id": f"{HOME}/{path}", "definition": definition}


def _lesson(school: School, id: str) -> dict[str, Any]:
    title = school.lessons[id].title if id in school.lessons else id
    return _activity(f"lessons/{id}", _LESSON, title)


def _answered(school: School, learner: Learner, a: Answer) -> dict[str, Any]:
    item = _item(school, a.item)
    kind = kind_of(item) if item else Kind[Item]()
    extensions = {
        f"{HOME}/seed": a.seed,
        f"{HOME}/variant": dict(a.variant),
        f"{HOME}/objective": a.objective,
        f"{HOME}/step": a.step,
        f"{HOME}/run": a.run,
        f"{HOME}/verdict": a.verdict,
    }
    if a.confidence:
        extensions[f"{HOME}/confidence"] = int(a.confidence)
    return {
        **_statement(learner, "answered", a.mark, a.time.isoformat()),
        "object": _activity(f"items/{a.item}", _ITEM, a.item, interactionType=kind.interaction),
        "result": {
            "success": a.verdict == RIGHT,
            "score": {"scaled": _SCORES.get(a.verdict, 0.0)},
            "response": kind.response(a.given),
        },
        "context": {
            "contextActivities": {"parent": [_lesson(school, a.lesson)]},
            "extensions": extensions,
        },
    }


def _completed(school: School, learner: Learner, lesson: str, time: str) -> dict[str, Any]:
    return {
        **_statement(learner, "completed", f"{lesson}/{time}", time),
        "object": _lesson(school, lesson),
        "result": {"completion": True},
    }


def _item(school: School, id: str) -> Item | None:
    try:
        return school.item(id)
    except KeyError:
        return None


def results_csv(school: School, records: Records, learners: Iterable[Learner]) -> str:
    """Write every answer as a row, `COLUMNS` on top.

    A cell that a spreadsheet would take for a formula begins with an apostrophe.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for learner in learners:
        for row in _rows(school, learner, records.answers(learner.code)):
            writer.writerow([_safe(cell) for cell in row])
    return out.getvalue()


def _rows(school: School, learner: Learner, answers: Iterable[Answer]) -> Iterator[list[str]]:
    who = alias(learner.code)
    for a in answers:
        item = _item(school, a.item)
        given = a.given if isinstance(a.given, str) else json.dumps(a.given, ensure_ascii=False)
        yield [
            who,
            learner.nickname,
            a.time.isoformat(timespec="seconds"),
            a.lesson,
            a.step,
            str(a.run),
            a.item,
            a.objective,
            item.kind if item else "",
            str(a.seed),
            "; ".join(f"{k}: {_plain(v)}" for k, v in a.variant.items()),
            given,
            a.verdict,
            a.confidence,
        ]


def _plain(value: Any) -> str:
    return show_number(value) if isinstance(value, float) else str(value)


def _safe(cell: str) -> str:
    """Keep a spreadsheet from running what a learner typed.

    >>> _safe("=1+1"), _safe("-4"), _safe("130 µm")
    ("'=1+1", '-4', '130 µm')
    """
    if cell[:1] in ("=", "+", "-", "@", "\t", "\r"):
        try:
            float(cell)
        except ValueError:
            return f"'{cell}"
    return cell
