"""The `tipsim` command."""

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tipsim.drill.command import add_parsers as add_drill
from tipsim.lesson.command import add_parsers
from tipsim.measured.command import add_parser as add_fit
from tipsim.measured.track_command import add_parser as add_track
from tipsim.motion.ceilings import sentence
from tipsim.quantities import figures, quantity
from tipsim.setup.catalogue import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.link import apply_settings
from tipsim.setup.presets import presets
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import MM
from tipsim.solve import Result, compare, solve

CAUTION = (
    "A teaching model, not a patient: follow the instructions for use, local protocols and a "
    "licensed surgeon."
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return the exit code: 0, or 2 for bad input with one line on stderr."""
    args = _parser().parse_args(arguments)
    try:
        return int(args.run(args) or 0)
    except BadInput as bad:
        print(f"tipsim: {bad}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        sys.stderr.close()
        return 0


def _parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(prog="tipsim", description=__doc__, epilog=CAUTION)
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    one = commands.add_parser("solve", help="solve one scenario and print its numbers")
    one.add_argument("scenario", help="a preset's name or a TOML file")
    one.set_defaults(run=_solve)
    two = commands.add_parser("compare", help="compare two scenarios")
    two.add_argument("a", help="a preset's name or a TOML file")
    two.add_argument("b", help="a preset's name or a TOML file")
    two.set_defaults(run=_compare)
    needles = commands.add_parser("needles", help="list the needles and where they come from")
    needles.set_defaults(run=_needles)
    rows = commands.add_parser("check-bench", help="compare heat with published measurements")
    rows.add_argument(
        "--fit", action="store_true", help="fit the rubbing coefficient on its row, and stop"
    )
    rows.set_defaults(run=_check_bench)
    for each in (one, two):
        each.add_argument(
            "--set",
            action="append",
            default=[],
            metavar="PATH=VALUE",
            help="change an input, in units of files: drive.power_percent=40, or power=40",
        )
    for each in (one, two, needles, rows):
        each.add_argument("--json", action="store_true", help="print one JSON object")
    add_parsers(commands.add_parser("lesson", help="list, check and export the lessons"))
    add_track(commands.add_parser("track", help="follow marks through a film of one's own"))
    add_drill(commands.add_parser("drill", help="run a case in which something goes wrong"))
    add_fit(commands.add_parser("fit", help="fit strokes, ratios and the model to measured tracks"))
    serve = commands.add_parser("serve", help="serve the page on this machine")
    serve.add_argument("--port", type=int, default=5016, help="port (default 5016)")
    serve.add_argument("--address", default="127.0.0.1", help="address (default 127.0.0.1)")
    serve.set_defaults(run=_serve)
    return top


def load(name: str) -> Scenario:
    """Read a preset's name or a TOML file.

    Raises
    ------
    BadInput
        When it is neither, or the file holds something impossible.
    """
    if name in presets():
        return Scenario.preset(name)
    if name.endswith(".toml") or _is_file(name):
        return Scenario.read(name)
    return Scenario.preset(name)


def _is_file(name: str) -> bool:
    try:
        return Path(name).is_file()
    except OSError:  # Too long a name for any file.
        return False


def _solve(args: argparse.Namespace) -> None:
    result = solve(apply_settings(load(args.scenario), args.set))
    if args.json:
        _print_json(result.to_dict())
    else:
        print("\n".join(report(result)))


def _compare(args: argparse.Namespace) -> None:
    # Both are read before anything is computed or printed.
    scenarios = [apply_settings(load(name), args.set) for name in (args.a, args.b)]
    a, b = (solve(s) for s in scenarios)
    both = compare(a, b)
    if args.json:
        _print_json(both)
        return
    print("\n".join(["A", *report(a), "", "B", *report(b)]))
    if any(c.passed for r in (a, b) for c in r.limits):
        return
    print("\nRatios")
    for name, value in both["ratios"].items():
        print(f"  {name.replace('_', ' ')}: {_ratio_text(value)}")
    for side, against in both["markers_against_end"].items():
        print(f"  markers out of step with the tip, {side.upper()}: {_list(against)}")


def _needles(args: argparse.Namespace) -> None:
    c = catalogue()
    if args.json:
        _print_json({"needles": [_needle_dict(id) for id in c.needles]})
        return
    for id, n in c.needles.items():
        tube = f"{2e3 * n.outer_radius:g} mm outside, {2e3 * n.inner_radius:g} mm bore"
        print(f"{id:20} {n.title:24} {MM.show(n.length)} long, {tube}")
    print("\nWhere the numbers come from: tipsim needles --json")


def _check_bench(args: argparse.Namespace) -> None:
    from tipsim.heat.validation import table

    if args.fit:
        _fit(args.json)
        return
    found = {}
    for each in table.computed():
        found[each.row.id] = each
        if not args.json:
            print("\n".join(table.row_text(table.line(each))), flush=True)
    if args.json:
        _print_json(table.to_plain(found))
        return
    print("\n".join(table.rest_text(table.table(found))))


def _fit(as_json: bool) -> None:
    from tipsim.heat.validation.fit import FITTED, fit, fit_text

    found = fit()
    if as_json:
        plain = {"row": found.row.id, "stored": found.stored, "fitted": found.value}
        _print_json({FITTED: plain | {"with_a_straight_needle": found.straight}})
        return
    print(fit_text(found))


def _needle_dict(id: str) -> dict[str, Any]:
    c = catalogue()
    n = c.needles[id]
    return {
        "id": id,
        "title": n.title,
        "shape": n.shape,
        "length_mm": round(n.length * 1e3, 6),
        "outer_diameter_mm": round(2e3 * n.outer_radius, 6),
        "bore_diameter_mm": round(2e3 * n.inner_radius, 6),
        "sleeve": c.sleeve_for[id],
        "origins": [
            {"fields": list(o.fields), "status": o.status, "range": o.span, "source": o.source}
            for o in c.origins[id]
        ],
    }


REPORT = (
    "frequency", "end_stroke", "end_speed", "edge_stroke", "shaft_stroke", "shaft_rms",
    "character", "pendular_share", "whip_share", "still_points", "hub_torque", "hub_force",
    "power", "mean_power",
)  # fmt: skip
"""Outputs of motion in the text of `tipsim solve`."""


def report(result: Result) -> list[str]:
    """Return the numbers of a result as lines of text."""
    lines = [f"{result.scenario.name}: {result.scenario.needle.title}"]
    over = sentence(tuple(c for c in result.limits if c.passed))
    if over:
        return [*lines, f"  {over}", "  Its numbers are held back here; --json has them."]
    for name in REPORT:
        q = quantity(f"motion.{name}")
        lines.append(f"  {q.label:38} {result.text(q.name)}")
    columns = quantity("motion.markers").columns
    heads = "".join(f"{c.label.lower():>15}" for c in columns[:-1])
    lines.append(f"  marker{heads}   {columns[-1].label.lower()}")
    for i, row in enumerate(result["motion.markers"], 1):
        *cells, last = (c.text(c.get(row)).removesuffix(f" {c.of}") for c in columns)
        lines.append(f"  {i:6}{''.join(f'{cell:>15}' for cell in cells)}   {last}")
    return lines


def _ratio_text(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(_ratio_text(v) for v in value)
    return "-" if value is None else figures(value)


def _list(values: Sequence[float]) -> str:
    return ", ".join(f"{v:g}" for v in values) or "none"


def _print_json(data: dict[str, Any]) -> None:
    print(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))


def _serve(args: argparse.Namespace) -> int:
    from tipsim.app.serve import serve

    return int(serve(args.address, args.port))


if __name__ == "__main__":
    sys.exit(main())
