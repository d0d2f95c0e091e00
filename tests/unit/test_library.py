"""The package as a library: names at its front door, sweeps, tables, figures, sources."""

import json
import subprocess
import sys
from math import radians
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import tipsim
from tipsim.setup.sourced import numbers

ROOT = Path(__file__).parents[2]
NOTEBOOK = ROOT / "assets/notebooks/first-steps.ipynb"
SINGLE = tipsim.preset("single-bend, torsional")


def test_importing_loads_no_screen_and_no_heavy_package(report_table: Any) -> None:
    """Counted, not timed; the time is printed."""
    code = (
        "import json, sys, time; start = time.process_time(); import tipsim; "
        "took = time.process_time() - start; "
        "print(json.dumps([took, sorted(sys.modules)]))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    took, loaded = json.loads(done.stdout)
    heavy = {
        *("scipy.stats", "scipy.optimize", "scipy.signal", "scipy.integrate", "scipy.ndimage"),
        *("scipy.sparse", "scipy.linalg", "scipy.special", "scipy.constants", "scipy.interpolate"),
        *("sqlalchemy", "panel", "bokeh", "param", "pandas", "skimage", "tornado", "yaml"),
        *("tipsim.app", "tipsim.lesson", "tipsim.plot"),
    }
    assert heavy & set(loaded) == set()
    report_table("import tipsim", [f"{took:.2f} s of processor time, {len(loaded)} modules in all"])


def test_every_name_of_the_front_door_is_there() -> None:
    assert set(tipsim.__all__) <= set(dir(tipsim))
    for name in tipsim.__all__:
        assert callable(getattr(tipsim, name)), name
    with pytest.raises(AttributeError, match="no attribute 'solv'"):
        _ = tipsim.solv


def test_a_change_by_name_is_linear_in_power() -> None:
    half = tipsim.solve(SINGLE.with_(power=0.5))
    assert half["motion.end_stroke"] == pytest.approx(65e-6, rel=1e-3)


@pytest.mark.parametrize("name", ["drive.frequency", "drive.frequency_khz"])
def test_a_fast_sweep_of_frequency_is_the_slow_one(name: str) -> None:
    values = np.array([31e3, 32e3, 33.5e3]) / (1e3 if name.endswith("khz") else 1)
    moved = tipsim.sweep(SINGLE, name, values)
    for output in ("motion.end_stroke", "motion.shaft_rms", "motion.hub_torque", "motion.power"):
        each = [tipsim.solve(s)[output] for s in moved.scenarios]
        assert moved[output] == pytest.approx(each, rel=1e-8), output
    assert "results" not in vars(moved)


def test_a_loaded_needle_is_swept_one_by_one() -> None:
    from tipsim.setup.load import LensLoad

    pressed = SINGLE.with_(lens=LensLoad("hard", 1e6, 0.5), **{"drive.holds": "power"})
    moved = tipsim.sweep(pressed, "drive.frequency", [31e3, 32e3])
    each = [tipsim.solve(s)["motion.end_stroke"] for s in moved.scenarios]
    assert moved["motion.end_stroke"].tolist() == each


def test_any_input_can_be_swept_and_laid_out() -> None:
    moved = tipsim.sweep(SINGLE, "flow.bottle_height_cm", [60, 80, 100])
    assert moved.values == pytest.approx((0.6, 0.8, 1.0))
    bottle = moved["flow.bottle"] / 133.322
    assert bottle == pytest.approx([60 * 0.7356, 80 * 0.7356, 100 * 0.7356], rel=0.01)
    table = moved.table("flow.bottle", "flow.collapses")
    assert list(table.columns)[1:] == ["Bottle, mmHg", "Chamber collapses"]
    assert table["Bottle, mmHg"] == pytest.approx(bottle.tolist(), rel=1e-4)
    with pytest.raises(tipsim.BadInput, match="nearest"):
        tipsim.sweep(SINGLE, "flow.botle_height", [1])


def test_tables_with_and_without_pandas(monkeypatch: pytest.MonkeyPatch) -> None:
    result = tipsim.solve(SINGLE)
    frame = result.table("motion.end_stroke", "iris")
    assert frame.loc["motion.end_stroke", "value"] == pytest.approx(130, rel=1e-3)
    assert frame.loc["motion.end_stroke", "unit"] == "µm peak to peak"
    speed = result.iris.speed
    assert frame.loc["iris.speed", ["low", "high"]].tolist() == list(speed.inner)
    monkeypatch.setattr(sys.modules["tipsim.solve"], "find_spec", lambda _: None)
    plain = result.table("motion.end_stroke", "iris")
    assert (
        len(plain) == len(frame) and "130" in repr(plain) and "<td>130</td>" in plain._repr_html_()
    )
    with pytest.raises(tipsim.BadInput, match=r"motion\.end_stroke"):
        result.table("motion.end")


def test_figures_draw_the_results_own_numbers() -> None:
    result = tipsim.solve(SINGLE.with_(duration=1.0))
    along = result.plot.along().renderers[0].data_source.data
    assert along["y"].max() == pytest.approx(result.motion.stroke.max() * 1e6)
    assert along["x"][-1] == 0
    response = result.plot.response().renderers[0].data_source.data
    near = np.interp(32.0, response["x"], response["y"])
    assert near == pytest.approx(result["motion.end_stroke"] * 1e6, rel=0.02)
    heat = result.plot.heat().renderers
    assert len(heat) == 2  # No tissue around it on this bench.
    assert heat[0].data_source.data["y"][0] == pytest.approx(25.0)


def test_a_needle_of_pieces() -> None:
    pieces = [(14e-3, 0.0), (1e-3, radians(-20)), (2e-3, 0.0), (1e-3, radians(45)), (1e-3, 0.0)]
    needle = tipsim.Needle.from_pieces(pieces, title="Mine", outer_radius=0.4e-3)
    assert (needle.shape, needle.outer_radius, needle.title) == ("counter-bent", 0.4e-3, "Mine")
    assert needle.length == pytest.approx(19e-3) and needle.total_turn == pytest.approx(radians(25))
    other = tipsim.Needle.from_pieces([tipsim.Piece(15e-3)], like=needle)
    assert (other.shape, other.outer_radius) == ("straight", 0.4e-3)
    assert tipsim.solve(SINGLE.with_(needle=needle)).motion.end_stroke > 0
    thick = tipsim.Needle.from_pieces([(15e-3, 0.0), (1e-3, 0.2), (2e-3, 0.2)], outer_diameter=1e-3)
    assert (thick.shape, thick.outer_radius) == ("single-bend", 0.5e-3)
    with pytest.raises(tipsim.BadInput, match="length"):
        tipsim.Needle.from_pieces([(-1e-3, 0.0)])


def test_what_is_shown_is_short() -> None:
    result = tipsim.solve(SINGLE)
    assert repr(SINGLE) == (
        "Scenario('single-bend, torsional': Single-bend 20°, medium; torsional, 32 kHz, 100 %)"
    )
    assert repr(result) == "Result('single-bend, torsional': tip 130 µm peak to peak)"
    for shown in (SINGLE, result, SINGLE.needle, tipsim.sweep(SINGLE, "power", [0.5, 1.0])):
        assert len(repr(shown)) < 100
        html = shown._repr_html_()  # type: ignore[attr-defined]
        assert html.startswith(("<table", "<figure")) and html.count("<") == html.count(">")
    odd = SINGLE.with_(name="<b>")
    assert "<b>" not in odd._repr_html_()


def test_sources_of_a_result() -> None:
    moved = tipsim.cite(tipsim.solve(SINGLE.with_(**{"tissue.iris.friction": 0.3})))
    (row,) = (r for r in moved if r["status"] == "set here")
    assert row["value"] == "0.3 (usually 0.1)"
    wanted = {n.label for n in numbers().values() if not n.id.startswith(("published", "practice"))}
    assert wanted <= {r["what"] for r in moved}
    assert any(r["what"].startswith("Single-bend 20°, medium: ") for r in moved)
    assert all(r["source"] and r["status"] for r in moved)


def test_the_live_view_is_set_as_the_scenario_is() -> None:
    view = tipsim.show(SINGLE.with_(power=0.4))
    values = [
        c["value"]
        for g in view[-1].schema
        for c in g["controls"]
        if c["id"].endswith("drive.power_percent")
    ]
    assert values and set(values) == {40.0}


def test_the_command_runs_as_a_module() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tipsim", "solve", "single-bend, torsional"],
        cwd=ROOT, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0 and "130 µm peak to peak" in done.stdout


def test_the_example_notebook_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every code cell, in order, in one namespace; figures are made and not shown."""
    import bokeh.io

    shown: list[Any] = []
    monkeypatch.setattr(bokeh.io, "show", shown.append)
    monkeypatch.setattr(bokeh.io, "output_notebook", lambda **_: None)
    cells = json.loads(NOTEBOOK.read_text(encoding="utf-8"))["cells"]
    space: dict[str, Any] = {}
    for cell in cells:
        if cell["cell_type"] == "code":
            assert cell["outputs"] == [], "an example is kept without outputs"
            exec(compile("".join(cell["source"]), cell["id"], "exec"), space)
    assert len(shown) == 2
    # The published 1.48 is held to its own tolerance elsewhere; solved it is 178.4 over 130.0 µm.
    assert space["ratio"] == pytest.approx(178.4 / 130.0, abs=0.005)
