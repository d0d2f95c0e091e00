"""Write the results of presets and bench rows anew: `python tests/regression/renew.py`.

Run it after a change that is meant to move numbers, and read the difference before committing.
"""

import json
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
FILE = Path(__file__).with_name("presets.json")
ROWS = ROOT / "assets" / "bench" / "computed.json"
SHAPES = ("straight", "single-bend", "counter-bent")

Pins = dict[str, dict[str, list[float]]]


def results() -> Pins:
    """Return what each shape does under each drive at full power; SI, unrounded."""
    from tipsim.setup.drive import KINDS
    from tipsim.setup.scenario import Scenario
    from tipsim.solve import Result, solve

    def numbers(result: Result) -> dict[str, list[float]]:
        m = result.motion
        c = m.character
        return {
            "end and edge stroke [m]": [m.end_stroke, m.edge_stroke],
            "shaft stroke and rms [m]": [c.shaft_stroke, c.shaft_rms],
            "pendular share": [] if c.pendular_share is None else [c.pendular_share],
            "nodes from the end [m]": list(m.nodes),
            "marker strokes [m]": [k.stroke for k in m.markers],
            "marker phases [rad]": [k.phase for k in m.markers],
            "hub torque [N m]": [m.hub_torque],
            "hub force [N]": [m.hub_force],
            "power, lost in metal, lost in films [W]": [
                m.power,
                float(m.vibration.lost_in_segments.sum()),
                float(m.vibration.lost_in_film.sum()),
            ],
            "peak stress [Pa]": [result.stress.peak],
        }

    names = [f"{shape}, {kind}" for shape in SHAPES for kind in KINDS]
    return {name: numbers(solve(Scenario.preset(name))) for name in names}


def rounded(pins: Pins) -> Pins:
    """Round to ten digits: enough for the test, and the same on most machines."""
    return {
        name: {what: [float(f"{v:.10g}") for v in values] for what, values in group.items()}
        for name, group in pins.items()
    }


def write_rows() -> None:
    """Write the computed bench rows, and VALIDATION.md with their table as it is read back."""
    from tests.validation import FILE as TABLE
    from tests.validation import write_bench_rows
    from tipsim.heat.validation import table

    computed = {each.row.id: each for each in table.computed()}
    plain = json.dumps(table.to_plain(computed), indent=1, ensure_ascii=False)
    ROWS.write_text(plain + "\n", encoding="utf-8")
    rounded = table.markdown(table.table(table.kept()))
    TABLE.write_text(write_bench_rows(rounded), encoding="utf-8")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    write_rows()
    text = json.dumps(rounded(results()), indent=1, ensure_ascii=False)
    FILE.write_text(text + "\n", encoding="utf-8")
    for path in (FILE, ROWS):
        print(f"{path.relative_to(ROOT)} is written, and the table of rows")
