"""What `tipsim fit` does: tracks from a table, strokes, ratios, and the model brought to them."""

import argparse
import json
from collections.abc import Iterable, Mapping
from typing import Any

from tipsim.measured.strokes import Ratio, Stroke, Strokes, ratios, strokes
from tipsim.measured.table import read_table
from tipsim.measured.tracks import ROLES, Tracks, read_tracks
from tipsim.motion.camera.settings import VIEWS
from tipsim.quantities import figures
from tipsim.setup.errors import BadInput
from tipsim.setup.presets import presets
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import DEG, HZ, KHZ

ALONE = (
    "Measured, no model. The intervals (95 %) hold the scatter of one film, not how needle, "
    "mounting and drive vary from run to run."
)
FITTED = "Fitted is not predicted: these numbers were chosen so that the model meets the tracks."


def add_parser(fit: argparse.ArgumentParser) -> None:
    """Add the arguments of `tipsim fit`."""
    fit.set_defaults(run=run)
    fit.add_argument("tracks", help="a table (CSV): time or picture, marker, x, y")
    fit.add_argument("--against", metavar="TRACKS", help="a second table, for ratios of strokes")
    add = fit.add_argument
    number = {"type": float, "metavar": "X"}
    add("--frequency-khz", required=True, help="drive frequency", **number)  # type: ignore[arg-type]
    add("--band-hz", default=0.0, help="look for it this far either way", **number)  # type: ignore[arg-type]
    add("--rate", help="pictures per second, as set on the camera", **number)  # type: ignore[arg-type]
    add("--pixel-um", help="width of a pixel at the needle", **number)  # type: ignore[arg-type]
    add("--exposure-us", default=0.0, help="exposure, to put its averaging right", **number)  # type: ignore[arg-type]
    add("--drift", type=int, default=1, metavar="N", help="degree of the slow drift taken away")
    add("--rest", type=int, metavar="MARK", help="a mark that stands still: against shake")
    add("--aliased", action="store_true", help="read a film of fewer than two pictures a cycle")
    for name, what in (("column", "NAME"), ("unit", "UNIT")):
        add(f"--{name}", action="append", default=[], metavar=f"WHAT={what}",
            help=f"{name} of {', '.join(ROLES)}, where its name does not say it")  # fmt: skip
    add("--model", metavar="SCENARIO", help="a preset's name or a TOML file, to fit")
    add("--free", default="", metavar="A,B", help="its numbers to fit: loss_factor,mobility")
    add("--view", choices=VIEWS, default=VIEWS[0], help="from where the film was taken")
    add("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> None:
    """Fit, and print text or JSON.

    Raises
    ------
    BadInput
        For a table or an argument that cannot be used.
    """
    if args.free and not args.model:
        raise BadInput("--free", f'"{args.free}"', "only with --model")
    names = [args.tracks] + ([args.against] if args.against else [])
    found = [_strokes(name, args) for name in names]
    over = ratios(*found) if len(found) == 2 else ()
    plain: dict[str, Any] = {"films": [_film(s) for s in found], "note": ALONE}
    lines = [line for s in found for line in [*_film_text(s), ""]]
    if over:
        plain["ratios"] = [_ratio(r) for r in over]
        lines += ["Ratio of strokes, first film over second", *map(_ratio_text, over), ""]
    lines.append(ALONE)
    if args.model:
        fitted, text = _model(found[0], args)
        plain["model"] = fitted
        lines += ["", *text]
    print(json.dumps(plain, indent=2, ensure_ascii=False) if args.json else "\n".join(lines))


def _strokes(name: str, args: argparse.Namespace) -> Strokes:
    tracks = _tracks(name, args)
    return strokes(
        tracks,
        args.frequency_khz * 1e3,
        band=args.band_hz,
        exposure=args.exposure_us * 1e-6,
        drift=args.drift,
        aliased=args.aliased,
    )


def _tracks(name: str, args: argparse.Namespace) -> Tracks:
    found = read_tracks(
        read_table(name),
        _pairs("--column", args.column),
        _pairs("--unit", args.unit),
        rate=args.rate,
        pixel=None if args.pixel_um is None else args.pixel_um * 1e-6,
    )
    return found if args.rest is None else found.against(args.rest)


def _pairs(option: str, given: Iterable[str]) -> Mapping[str, str]:
    pairs = {}
    for text in given:
        role, equals, name = text.partition("=")
        if not equals:
            raise BadInput(option, f'"{text}"', "such as x=NAME")
        pairs[role] = name
    return pairs


def _film(s: Strokes) -> dict[str, Any]:
    return {
        "file": s.tracks.source,
        "read_as": {role: [c.name, c.unit] for role, c in s.tracks.columns.items()},
        "pictures": len(s.tracks.times),
        "pictures_per_second": s.tracks.rate,
        "pictures_per_cycle": s.per_cycle,
        "frequency_hz": s.frequency,
        "frequency_error_hz": s.frequency_error,
        "marks": [_mark(m) for m in s.marks],
        "doubts": list(s.doubts),
    }


def _mark(m: Stroke) -> dict[str, Any]:
    return {
        "mark": m.number,
        "stroke_um": m.value * 1e6,
        "interval_um": [m.low * 1e6, m.high * 1e6],
        "direction": m.direction,
        "angle_deg": float(DEG.from_si(m.angle)),
        "scatter_um": m.sine.scatter * 1e6,
        "explained": m.sine.explained,
        "drift_um": m.sine.drift * 1e6,
    }


def _film_text(s: Strokes) -> list[str]:
    frequency = KHZ.show(s.frequency, 6)
    if s.frequency_error is not None:
        frequency += f" ± {HZ.show(s.frequency_error, 2)} (found in the film)"
    read = ", ".join(f"{role} from {c.name!r}" for role, c in s.tracks.columns.items())
    counted = f"{len(s.tracks.times)} pictures, {figures(s.per_cycle)} a cycle"
    return [
        f"{s.tracks.source}: {counted}, {frequency}",
        f"  read: {read}",
        *(_mark_text(m) for m in s.marks),
        *(f"  Doubt: {d}" for d in s.doubts),
    ]


def _mark_text(m: Stroke) -> str:
    stroke = f"{m.value * 1e6:.1f} ({m.low * 1e6:.1f} to {m.high * 1e6:.1f}) µm"
    return f"  mark {m.number:2}  stroke {stroke:34} {m.direction:8} {DEG.show(m.angle, 3)}"


def _ratio(r: Ratio) -> dict[str, Any]:
    return {"mark": r.number, "ratio": r.value, "interval": [r.low, r.high]}


def _ratio_text(r: Ratio) -> str:
    if r.low is None or r.high is None:
        return f"  mark {r.number:2}  open: the second film's stroke may be 0"
    return f"  mark {r.number:2}  {r.value:.3f} ({r.low:.3f} to {r.high:.3f})"


def _model(s: Strokes, args: argparse.Namespace) -> tuple[dict[str, Any], list[str]]:
    # Here, since it brings the solver along.
    from tipsim.measured.model import fit_model

    known = args.model in presets()
    one = Scenario.preset(args.model) if known else Scenario.read(args.model)
    free = [name.strip() for name in args.free.split(",") if name.strip()]
    found = fit_model(s, one, free, args.view)
    numbers = [
        {
            "name": n.input.path,
            "value": float(n.input.unit.from_si(n.value)),
            "interval": [float(n.input.unit.from_si(v)) for v in (n.low, n.high)],
            "before": float(n.input.unit.from_si(n.first)),
        }
        for n in found.numbers
    ]
    plain = {
        "scenario": one.name,
        "numbers": numbers,
        "hub_motion_over_scenario": found.hub,
        "hub_motion_interval": [found.hub_low, found.hub_high],
        "correlation": found.correlation.tolist(),
        "misfit": found.misfit,
        "doubts": list(found.doubts),
        "note": FITTED,
    }
    lines = [f"Model fitted: {one.name}"]
    for n in found.numbers:
        low, high = (n.input.unit.show(v) for v in (n.low, n.high))
        before = n.input.unit.show(n.first)
        label = n.input.label or n.input.name
        lines.append(f"  {label}: {n.input.unit.show(n.value)} ({low} to {high}), was {before}")
    hub = f"{found.hub:.3f} ({found.hub_low:.3f} to {found.hub_high:.3f})"
    lines += [f"  Motion of the hub over the scenario's: {hub}", f"  Misfit: {found.misfit:.2g}"]
    lines += [f"  Doubt: {d}" for d in found.doubts]
    return plain, [*lines, FITTED]
