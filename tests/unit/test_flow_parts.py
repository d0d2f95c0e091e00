"""Parts of the flow by hand: a bypass hole, and what is read from a surge."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from tipsim.flow.circuit import circuit
from tipsim.flow.surge import Surge, run_circuit, surge
from tipsim.flow.transient import run_changes
from tipsim.setup.flow import Trial
from tipsim.setup.presets import preset
from tipsim.setup.sourced import number

SINGLE = preset("single-bend, torsional")
RUN = surge(SINGLE)


def test_a_bypass_hole_resists_as_its_round_area_does() -> None:
    """Pressure = density/2 (q / (discharge x pi d²/4))²."""
    diameter = 0.2e-3
    needle = replace(SINGLE.needle, bypass_diameter=diameter, bypass_distance=12e-3)
    through = circuit(replace(SINGLE, needle=needle)).bypass
    area = np.pi / 4 * diameter**2 * number("lines.discharge").si
    assert through is not None
    assert through.square == pytest.approx(SINGLE.fluid.density / 2 / area**2, rel=1e-9)


def made(time: np.ndarray, **courses: np.ndarray) -> Surge:
    """A run of which only some courses matter."""
    flat = {n: np.zeros_like(time) for n in ("chamber", "volume", "vacuum", "mouth", "bypass")}
    return replace(RUN, time=time, blocked=1.0, released=3.0, **(flat | courses))


def test_the_lowest_pressure_is_that_after_the_release() -> None:
    time = np.linspace(0, 5, 501)
    early = made(time, chamber=5000 - 4000 * np.exp(-((time - 1.2) ** 2) / 0.01))
    assert early.lowest == pytest.approx(5000, abs=1e-6)
    dip = 3000 * np.exp(-((time - 3.5) ** 2) / 0.01)
    late = made(time, chamber=5000 - dip, volume=2.5e-7 - dip * RUN.chamber_compliance)
    assert late.lowest == pytest.approx(2000, rel=1e-6)
    assert late.depth == pytest.approx(3000, rel=1e-6)
    assert late.lost == pytest.approx(3000 * RUN.chamber_compliance, rel=1e-6)


def test_the_vacuum_has_risen_at_95_percent() -> None:
    """Limit (1 - exp(-t/tau)) is there after tau ln 20."""
    time, tau = np.linspace(0, 5, 50001), 0.3
    vacuum = RUN.vacuum_limit * -np.expm1(-np.clip(time - 1.0, 0, None) / tau)
    assert made(time, vacuum=vacuum).rise_time == pytest.approx(tau * np.log(20), abs=2e-4)
    assert made(time, vacuum=0.94 * vacuum).rise_time is None


def test_the_fastest_flow_counts_mouth_and_hole_together() -> None:
    time = np.linspace(0, 5, 11)
    run = made(time, mouth=time * 1e-7, bypass=np.full_like(time, 1e-7))
    assert run.fastest == pytest.approx(6e-7)


def test_a_run_that_falls_flat_ends_at_no_volume() -> None:
    kinked = replace(SINGLE, surge=replace(SINGLE.surge, event="no irrigation"))
    run = surge(kinked)
    assert run.flat_at is not None and run.blocked < run.flat_at == run.time[-1]
    assert run.emptied_at is not None and run.blocked < run.emptied_at < run.flat_at
    assert run.volume[-1] == pytest.approx(0, abs=1e-12) and run.volume[:-1].min() > 0
    assert np.all(np.diff(run.time) >= 0)


def test_threads_run_surges_beside_each_other() -> None:
    trials = [Trial(hold=h) for h in (0.41, 0.52, 0.63, 0.74)]
    alone = [surge(replace(SINGLE, surge=trial)).chamber for trial in trials]
    run_circuit.cache_clear()
    run_changes.cache_clear()
    with ThreadPoolExecutor(4) as pool:
        beside = list(pool.map(lambda t: surge(replace(SINGLE, surge=t)).chamber, trials))
    assert all(np.array_equal(a, b) for a, b in zip(alone, beside, strict=True))
