"""What `tipsim lesson` does; the command itself only hands over."""

import argparse
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from tipsim.lesson.check import check_folder
from tipsim.lesson.format import ITEM_KINDS, School
from tipsim.lesson.quantities import FUNCTIONS, QUANTITIES
from tipsim.lesson.read import school
from tipsim.paths import lessons_folder


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


def _list(_args: argparse.Namespace) -> int:
    found = school()
    for track in found.tracks.values():
        print(f"{track.title}\n  {track.text}")
        for number, id in enumerate(track.lessons, 1):
            lesson = found.lessons[id]
            print(f"  {number:2}  {lesson.title:44} {lesson.minutes:2} min  {id}")
    print(_counts(found))
    return 0


def _check(args: argparse.Namespace) -> int:
    found, faults = check_folder(args.folder or lessons_folder())
    for fault in faults:
        print(fault)
    print(_counts(found))
    print(f"{len(faults)} mistakes" if faults else "no mistakes")
    return 2 if faults else 0


def _counts(found: School) -> str:
    items = [item for lesson in found.lessons.values() for item in lesson.items.values()]
    kinds = Counter(item.kind for item in items)
    variants = sum(len(item.variants) for item in items)
    objectives = sum(len(lesson.objectives) for lesson in found.lessons.values())
    by_kind = ", ".join(f"{kinds[kind]} {kind}" for kind in ITEM_KINDS if kinds[kind])
    return (
        f"{len(found.lessons)} lessons in {len(found.tracks)} tracks, {objectives} objectives, "
        f"{len(items)} items ({by_kind}) in {variants} variants"
    )


def _quantities(_args: argparse.Namespace) -> int:
    for q in QUANTITIES.values():
        print(f"{q.name:22} {q.unit:18} {q.meaning}")
    print("\nAnything that `tipsim solve NAME --json` prints, by its path: a.motion.nodes_mm[0]")
    print("What is set: a.setting.drive.power_percent")
    print("A number of assets/numbers: sourced.fatigue.smooth")
    print("\nmin, max, abs, round, sqrt; and")
    for name, function in FUNCTIONS.items():
        if function.__module__.startswith("tipsim") and function.__doc__:
            print(f"{name:22} {(function.__doc__ or '').splitlines()[0]}")
    return 0
