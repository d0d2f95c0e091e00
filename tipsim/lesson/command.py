"""What `tipsim lesson` does; the command itself only hands over."""

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from tipsim.lesson.check import check_folder
from tipsim.lesson.check_form import knowledge
from tipsim.lesson.format import KNOWLEDGE, School
from tipsim.lesson.kinds import KINDS
from tipsim.lesson.quantities import FUNCTIONS, QUANTITIES, part_of, solved
from tipsim.lesson.read import school
from tipsim.paths import lessons_folder
from tipsim.quantities import PARTS
from tipsim.setup.errors import BadInput
from tipsim.setup.toml_text import decode_text, read_bytes, write_whole

FORMATS = ("xapi", "csv", "json")


def add_parsers(lesson: argparse.ArgumentParser) -> None:
    """Add `list`, `check` and the others to the `tipsim lesson` command."""
    commands = lesson.add_subparsers(required=True, metavar="WHAT")

    def add(
        name: str, run: Callable[[argparse.Namespace], int], help: str
    ) -> argparse.ArgumentParser:
        parser = commands.add_parser(name, help=help)
        parser.set_defaults(run=run)
        return parser

    add("list", _list, "list tracks and lessons")
    check = add("check", _check, "check every lesson; reports all mistakes with file and line")
    check.add_argument("folder", nargs="?", type=Path, help="another folder of lessons")
    add("quantities", _quantities, "list the names that expressions may use")
    export = add("export", _export, "write the items or learners' records to a file")
    what = export.add_mutually_exclusive_group(required=True)
    what.add_argument("--qti", metavar="FILE", help="all items as a QTI 3.0 package (zip)")
    what.add_argument("--records", choices=FORMATS, help="records: xAPI lines, CSV, or JSON")
    export.add_argument("code", nargs="?", help="a learner's code; all learners without it")
    export.add_argument("-o", "--out", metavar="FILE", help="file to write; printed without it")
    bring = add("import", _import, "merge a learner's exported record (JSON) into those here")
    bring.add_argument("file", help="what was exported with --records json")


def _list(_args: argparse.Namespace) -> int:
    found = school()
    for track in found.tracks.values():
        print(f"{track.title}\n  {track.text}")
        for number, id in enumerate(track.lessons, 1):
            lesson = found.lessons[id]
            if track.more and id == track.more[0]:
                print("  and further")
            print(f"  {number:2}  {lesson.title:44} {lesson.minutes:2} min  {id}")
    print(_counts(found))
    return 0


def _check(args: argparse.Namespace) -> int:
    folder = args.folder or lessons_folder()
    if not folder.is_dir():
        raise BadInput("folder", f'"{folder}"', "a folder of lessons")
    found, faults = check_folder(folder)
    for fault in faults:
        print(fault)
    print(_counts(found))
    print(f"mistakes: {len(faults) or 'none'}")
    return 2 if faults else 0


def _counts(found: School) -> str:
    items = [item for lesson in found.lessons.values() for item in lesson.items.values()]
    kinds = Counter(item.kind for item in items)
    variants = sum(len(item.variants) for item in items)
    objectives = sum(len(lesson.objectives) for lesson in found.lessons.values())
    by_kind = ", ".join(f"{kinds[kind]} {kind}" for kind in KINDS if kinds[kind])
    return (
        f"{len(found.lessons)} lessons in {len(found.tracks)} tracks, {objectives} objectives, "
        f"{len(items)} items ({by_kind}) in {variants} variants\n"
        f"quiz and reviews ask for: {by_knowledge(found)}"
    )


def by_knowledge(found: School) -> str:
    """Return how many items of quiz and reviews ask for what, and how many cases there are."""
    asked = sum((knowledge(lesson) for lesson in found.lessons.values()), Counter())
    parts = (f"{asked[k]} {k} ({asked[k] / max(asked.total(), 1):.0%})" for k in KNOWLEDGE)
    return ", ".join(parts)


def _quantities(_args: argparse.Namespace) -> int:
    print("Short names, behind a side: a.end_stroke_um_pp")
    for q in QUANTITIES.values():
        print(f"  {q.alias:22} {q.kept_units:18} {q.label}")
    print("\nPaths, with their values for the single-bend needle under torsional drive")
    result = solved({"needle": "single-bend", "drive": "torsional"}).result
    for name in PARTS:
        for path, value in _flat(f"a.{name}", part_of(result, name)):
            print(f"  {path:55} {value}")
    print("\nWhat is set, as in a scenario file: a.setting.drive.power_percent")
    print("A number of assets/numbers: sourced.fatigue.smooth")
    print("\nFunctions: min, max, abs, round, sqrt; and")
    for name, function in FUNCTIONS.items():
        if function.__module__.startswith("tipsim") and function.__doc__:
            print(f"  {name:22} {(function.__doc__ or '').splitlines()[0]}")
    return 0


def _flat(path: str, data: Any) -> Iterator[tuple[str, Any]]:
    """Return every value in tables and lists with its path."""
    if isinstance(data, Mapping):
        for key, value in data.items():
            yield from _flat(f"{path}.{key}", value)
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from _flat(f"{path}[{index}]", value)
    else:
        yield path, data


def _export(args: argparse.Namespace) -> int:
    if args.qti:
        from tipsim.lesson.qti_package import package

        _write(args.qti, package(school()))
        return 0
    # Only now: most commands need no database.
    from tipsim.lesson.records import records
    from tipsim.lesson.statements import results_csv, xapi
    from tipsim.lesson.transfer import export

    kept = records()
    if args.records == "json":
        if not args.code:
            raise BadInput("code", "missing", "a learner's code: JSON holds one whole record")
        text = export(kept, args.code) + "\n"
    else:
        learners = (kept.learner(args.code),) if args.code else kept.learners()
        text = (xapi if args.records == "xapi" else results_csv)(school(), kept, learners)
    if args.out:
        _write(args.out, text)
    else:
        sys.stdout.write(text)
    return 0


def _write(path: str, content: str | bytes) -> None:
    try:
        write_whole(path, content)
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        raise BadInput("file", f'"{path}" ({cause})', "a file that can be written") from None


def _import(args: argparse.Namespace) -> int:
    from tipsim.lesson.records import records
    from tipsim.lesson.transfer import bring

    wanted = "an exported JSON"
    text = decode_text(read_bytes(args.file, wanted), args.file, wanted)
    learner, new = bring(records(), text)
    print(f"{learner.nickname}: {new} new answers")
    return 0
