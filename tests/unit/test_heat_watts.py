"""Watts of each cause by hand on simple benches, and where they go; events and pulses of power."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.heat.cells import cut
from tipsim.heat.legs import Model
from tipsim.heat.placing import spread
from tipsim.heat.pulses import resolved_stretch
from tipsim.heat.sources import Sources, heat_sources
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.heat.ways import ways
from tipsim.motion.run import run
from tipsim.setup.catalogue import lens
from tipsim.setup.event import Event
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.thermal import Press

COARSE = Model(slices=40, sectors=4)
SINGLE = preset("single-bend, torsional")


def sources(scenario: Scenario, slices: int = 400) -> Sources:
    edges = np.linspace(0, scenario.needle.length, slices + 1)
    return heat_sources(scenario, run(scenario), edges)


def test_rubbing_of_a_needle_that_only_turns() -> None:
    """Coefficient x force x mean of r w theta |cos|, which is 2/pi of its peak."""
    press = Press(force=0.3, place=6e-3, length=0.3e-3)
    bench = replace(preset("straight, torsional"), press=press)
    motion = run(bench)
    s = bench.needle.length - press.place
    turn = np.interp(s, motion.frame.s, np.abs(motion.displacement[:, 3:]).max(axis=1))
    peak = 2 * np.pi * bench.drive.frequency * turn * bench.needle.outer_radius
    by_hand = number("rubbing.coefficient").si * press.force * peak * 2 / np.pi
    assert sources(bench).total("rubbing") == pytest.approx(by_hand, rel=2e-3)


def test_only_the_metals_own_share_of_the_loss_warms_the_metal() -> None:
    own = SINGLE.needle.material.loss_factor
    assert 0 < own < SINGLE.loss_factor
    lost = float(run(SINGLE).vibration.lost_in_segments.sum())
    found = sources(SINGLE)
    assert found.total("metal") == pytest.approx(lost * own / SINGLE.loss_factor, rel=1e-9)
    assert found.total("unresolved") == pytest.approx(
        lost * (1 - own / SINGLE.loss_factor), rel=1e-9
    )
    # All that is lost is the metal's where it loses as much by itself as the motion does in all.
    lossy = replace(SINGLE.needle.material, loss_factor=2 * SINGLE.loss_factor)
    alone = replace(SINGLE, needle=replace(SINGLE.needle, material=lossy))
    assert sources(alone).total("unresolved") == 0


def test_the_lens_takes_what_its_dashpot_does() -> None:
    bench = replace(SINGLE, lens=lens("hard"))
    motion = run(bench)
    v = motion.vibration.velocity[-1]
    by_hand = 0.5 * np.real(v.conj() @ motion.frame.node_dampers[-1] @ v)
    assert sources(bench).total("lens") == pytest.approx(by_hand, rel=1e-9)


@pytest.mark.parametrize("kind", ["wound", "air"])
def test_every_watt_is_put_into_cells_once(kind: str) -> None:
    """What goes with speed squared and with speed has factors of its own; the hub's share stays."""
    bench = SINGLE.with_(press=Press(force=0.5, place=6e-3), **{"outside.kind": kind})
    cells = cut(bench, 80, 8)
    found = heat_sources(bench, run(bench), cells.edges)
    fixed, films = spread(found, cells, bench.press, 0.25, 0.5)
    # Half of the power: a quarter of what goes with speed squared, half of the rubbing.
    warmed = 0.25 * (found.total("metal") + found.total("squeezing")) + 0.5 * found.total("rubbing")
    assert found.total("rubbing") > 0 and found.total("unresolved") > found.total("metal")
    assert fixed.sum() == pytest.approx(warmed, rel=1e-9)
    outside = found.watts["films_outside"]
    wet = outside.sum() if cells.chamber >= 0 else outside[cells.sleeved].sum()
    assert films.sum() == pytest.approx(0.25 * (found.total("films_bore") + wet), rel=1e-9)
    # Two surfaces share what is rubbed.
    only = Sources(found.edges, {k: 0 * v for k, v in found.watts.items()})
    only.watts["rubbing"] = found.watts["rubbing"]
    rubbed, _ = spread(only, cells, bench.press, 1.0, 1.0)
    for layer in ("metal", "inner"):
        index = cells.index[layer]
        share = rubbed[index[index >= 0]].sum()
        assert share == pytest.approx(found.total("rubbing") / 2, rel=1e-9)


def alike(a: HeatRun, b: HeatRun) -> bool:
    last = a.temperature[-1], b.temperature[-1]
    return bool(np.abs(last[0] - last[1]).max() < 1e-6) and float(np.ptp(last[0])) > 0


LOADED = SINGLE.with_(press=Press(force=0.2, place=6e-3))


def test_an_event_of_power_is_a_bench_set_to_it() -> None:
    """Without a load: squeezing that reaches its static limit does not go with the square."""
    half = SINGLE.with_(power=0.5)
    event = Event(0.0, "power", share=0.5)
    assert alike(heat_run(SINGLE, 2.0, (event,), COARSE), heat_run(half, 2.0, (), COARSE))
    back = (event, Event(0.0, "power", share=1.0))
    assert alike(heat_run(LOADED, 2.0, back, COARSE), heat_run(LOADED, 2.0, (), COARSE))


def test_a_drive_off_at_the_beginning_never_warms() -> None:
    off = heat_run(LOADED, 2.0, (Event(0.0, "drive off"),), COARSE)
    assert np.ptp(off.temperature) < 1e-9


def test_a_stretch_pulse_by_pulse_has_watts_of_the_pulses() -> None:
    pulsed = SINGLE.with_(**{"duty.kind": "pulsed", "duty.on_time": 0.05, "duty.off_time": 0.15})
    mean = heat_run(pulsed, 4.0, (), COARSE)
    assert mean.duty == 0.25
    assert resolved_stretch(mean, 2.0, 0.4, COARSE, run(pulsed)).duty == 1.0


def test_ports_and_open_end_share_what_leaves_by_their_areas() -> None:
    sleeve, needle = SINGLE.sleeve, SINGLE.needle
    assert sleeve is not None and not needle.has_bypass
    inside = SINGLE.with_(**{"outside.kind": "chamber"})
    cells = cut(inside, 80, 4)
    found = ways(inside, cells, None, np.zeros((80, cells.sectors)))
    holes = 2 * np.pi * sleeve.port_diameter**2 / 4
    end = np.pi * (sleeve.inner_radius**2 - needle.outer_radius**2)
    past = found.annulus.sum(axis=1)[-1] / found.annulus.sum(axis=1)[0]
    assert past == pytest.approx(end / (holes + end), rel=1e-9)
    assert end < holes
