"""What `tipsim drill` does: list the drills, check them, run one and print its debrief."""

import argparse
import json
from pathlib import Path
from typing import Any

from tipsim.drill.actions import Actions, read_actions
from tipsim.drill.check import check_drills
from tipsim.drill.debrief import Debrief, Met, debrief, timeline
from tipsim.drill.faults import KINDS
from tipsim.drill.format import sign_words
from tipsim.drill.measures import MEASURES
from tipsim.drill.outputs import NAMES
from tipsim.drill.read import drill_ids, load_drill
from tipsim.drill.run import Case
from tipsim.setup.errors import BadInput
from tipsim.setup.toml_text import decode_text, read_bytes

NOTE = (
    "A model, no patient, no certificate: reaction times compare only with one's own earlier ones."
)
_CURVES = ("pedal", "ultrasound", "drops", "depth", "vacuum", "sleeve", "wound", "dose", "fragment")
_HEADS = ("pedal", "US %", "drops/s", "mm", "mmHg", "sleeve °C", "incision °C", "dose s", "left %")
_WANTED = "a TOML file of actions"


def add_parsers(drill: argparse.ArgumentParser) -> None:
    """Add the commands of `tipsim drill`."""
    commands = drill.add_subparsers(required=True, metavar="WHAT")
    list_ = commands.add_parser("list", help="list the drills")
    list_.set_defaults(run=_list)
    check = commands.add_parser("check", help="check the drills' files, one line for each mistake")
    check.set_defaults(run=_check)
    run = commands.add_parser("run", help="run a drill by a script and print its debrief")
    run.add_argument("drill", help="id of a drill, from the list")
    run.add_argument("--actions", metavar="FILE", help="what is done, as [[action]] tables (TOML)")
    run.add_argument("--careful", action="store_true", help="do what a careful team does")
    run.add_argument("--seed", type=int, help="another seed than the drill's own")
    run.set_defaults(run=_run)
    for each in (list_, run):
        each.add_argument("--json", action="store_true", help="print one JSON object")


def _list(args: argparse.Namespace) -> None:
    drills = [load_drill(id) for id in drill_ids()]
    if args.json:
        rows = [
            {"id": d.id, "title": d.title, "lasts_s": d.lasts, "faults": [f.kind for f in d.faults]}
            for d in drills
        ]
        print(json.dumps({"drills": rows}, indent=2, ensure_ascii=False))
        return
    for d in drills:
        print(f"{d.id:26} {d.title} ({d.lasts:g} s)")


def _check(_args: argparse.Namespace) -> int:
    found = check_drills()
    print("\n".join(found) if found else f"{len(drill_ids())} drills, no mistake")
    return 1 if found else 0


def _run(args: argparse.Namespace) -> None:
    drill = load_drill(args.drill)
    seed = drill.seed if args.seed is None else args.seed
    if not 0 <= seed < 1_000_000:
        raise BadInput("--seed", str(seed), "0 to 999999")
    found = debrief(drill, _actions(args, Case(drill, seed)), seed)
    if args.json:
        print(json.dumps(plain(found), indent=2, ensure_ascii=False))
    else:
        print("\n".join(report(found)))


def _actions(args: argparse.Namespace, case: Case) -> Actions:
    if args.actions and args.careful:
        raise BadInput("--actions", "given with --careful", "one of both")
    if args.careful:
        return case.drill.careful(min(case.moments()))
    if not args.actions:
        return case.drill.start
    name = str(Path(args.actions))
    text = decode_text(read_bytes(args.actions, _WANTED), name, _WANTED)
    try:
        return read_actions(text)
    except BadInput as bad:
        raise BadInput(f"{name}: {bad.field}", bad.value, bad.allowed) from None


def report(found: Debrief) -> list[str]:
    """Return a debrief as lines of text."""
    drill = found.drill
    faults = zip(drill.faults, found.moments, strict=True)
    lines = [drill.title, "", drill.brief, "", "What went wrong"]
    lines += [f"  {t:6.2f} s  {KINDS[f.kind].says}" for f, t in faults]
    lines += ["", "What could be noticed, and when first"]
    lines += [f"  {_when(s.time)}  {s.sign.says} ({sign_words(s.sign)})" for s in found.seen]
    lines += ["", "What helps, and when it was done"]
    lines += [f"  {_when(t.time)}  {' or '.join(t.step.any)}: {t.step.says}" for t in found.took]
    if found.first_was_first is False:
        lines.append(f"  The first step comes first: {' or '.join(drill.right[0].any)}.")
    lines += [f"  {t:6.2f} s  Harmful: {s.any[0]}. {s.says}" for s, t in found.harm]
    lines += ["", "Goals", *(f"  {_goal(m)}" for m in found.goals), "", *_timeline(found)]
    lines += ["", *_compared(found), "", found.sentence, "", NOTE]
    return lines


def _when(time: float | None) -> str:
    return "   never" if time is None else f"{time:6.2f} s"


def _goal(met: Met) -> str:
    measure = MEASURES[met.goal.measure]
    side, limit = (
        ("at least", met.goal.least) if met.goal.least is not None else ("at most", met.goal.most)
    )
    said = "met" if met.met else "missed"
    return f"{said}: {measure.label} {measure.show(met.value)}, {side} {measure.show(limit or 0.0)}"


def _timeline(found: Debrief) -> list[str]:
    step = 1.0 if found.drill.lasts <= 25 else 2.0
    times = [k * step for k in range(int(found.drill.lasts / step) + 1)]
    rows = timeline(found, _CURVES, times)
    head = "Over time    s " + " ".join(f"{h:>11}" for h in _HEADS)
    lines = [head]
    for time, row in zip(times, rows.tolist(), strict=True):
        lines.append(f"{time:15.0f} " + " ".join(f"{v:11.1f}" for v in row))
    return lines


def _compared(found: Debrief) -> list[str]:
    names = list(found.measures)
    lines = [f"{'Side by side':42}" + "".join(f"{n:>28}" for n in names)]
    goals = {m.goal.measure for m in found.goals}
    for key, measure in MEASURES.items():
        rows = [found.measures[n][key] for n in names]
        if key not in goals and max(rows) - min(rows) < measure.matters:
            continue
        values = [measure.show(found.measures[n][key]) for n in names]
        lines.append(f"  {measure.label:40}" + "".join(f"{v:>28}" for v in values))
    return lines


def plain(found: Debrief) -> dict[str, Any]:
    """Return a debrief as plain data, units in the keys."""
    drill = found.drill
    return {
        "drill": drill.id,
        "seed": found.seed,
        "faults": [
            {"kind": f.kind, "at_s": t} for f, t in zip(drill.faults, found.moments, strict=True)
        ],
        "signs": [{"says": s.sign.says, "at_s": s.time} for s in found.seen],
        "right": [{"do": list(t.step.any), "at_s": t.time} for t in found.took],
        "harmful": [{"do": list(s.any), "at_s": t} for s, t in found.harm],
        "goals": [{"measure": m.goal.measure, "value": m.value, "met": m.met} for m in found.goals],
        "reaction_s": found.reaction,
        "passed": found.passed,
        "measures": {name: dict(values) for name, values in found.measures.items()},
        "sentence": found.sentence,
        "curves": {NAMES[n].key: found.curves.shown(n).tolist() for n in found.curves.values},
        "note": NOTE,
    }
