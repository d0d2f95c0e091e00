"""Dense curves of a drill: one packet of arrays on one row of times."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipsim.drill.actions import PEDAL, REFLUX
from tipsim.drill.outputs import NAMES
from tipsim.drill.scene import Scene
from tipsim.drill.warm import WarmPiece
from tipsim.flow.change import Change
from tipsim.flow.onward import Standing
from tipsim.flow.transient import Transient
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Piece:
    """A stretch: what was set in it, its fluid and heat, and what counts up meanwhile."""

    scene: Scene
    standing: Standing
    fluid: Transient
    heat: WarmPiece
    spent: float
    left: float

    @property
    def begin(self) -> float:
        """When it begins [s]."""
        return float(self.fluid.time[0])

    @property
    def end(self) -> float:
        """When it ends [s]."""
        return float(self.fluid.time[-1])


@dataclass(frozen=True, eq=False)
class Curves:
    """Curves of a drill between two times, by the names of `tipsim.drill.outputs`.

    Attributes
    ----------
    values : mapping
        Arrays of shape (n,), SI. Where something jumps, one time stands twice.
    done : tuple of Change
        What was done to the fluid, faults and the model's own events included.
    imbalance : float
        Largest error of the heat's energy balance, over what was put in.
    volumes : (n, 4) array
        In from the bottle, out by the wound, into the needle, out by the pump, since the start
        [m³].
    held : (n, 2) array
        Volume of the chamber [m³], and pressure where the line complies [Pa].
    """

    values: Mapping[str, Floats]
    done: tuple[Change, ...]
    imbalance: float
    volumes: Floats
    held: Floats

    def __getitem__(self, name: str) -> Floats:
        """Return a curve in SI."""
        return self.values[name]

    def shown(self, name: str) -> Floats:
        """Return a curve in its own unit."""
        unit = NAMES[name].unit
        return self.values[name] / float(unit.factor) - float(unit.offset)

    def at(self, name: str, time: float) -> float:
        """Return a value between points, in SI."""
        return float(np.interp(time, self.values["time"], self.values[name]))


def joined(scenario: Scenario, pieces: Sequence[Piece], since: float, until: float) -> Curves:
    """Join stretches to curves between two times."""
    parts = [_values(scenario, p) for p in pieces]
    whole = {n: np.concatenate([part[n] for part in parts]) for n in parts[0]}
    volumes = np.concatenate([p.fluid.volumes for p in pieces])
    held = np.concatenate([np.column_stack([p.fluid.volume, p.fluid.line]) for p in pieces])
    time = whole["time"]
    keep = (time >= since) & (time <= until)
    ends = np.array([t for t in (since, until) if time[0] < t < time[-1] and t not in time])
    # A time that falls between points becomes one.
    order = np.argsort(np.concatenate([time[keep], ends]), kind="stable")

    def cut(values: Floats) -> Floats:
        return np.concatenate([values[keep], np.interp(ends, time, values)])[order]

    return Curves(
        {n: cut(v) for n, v in whole.items()},
        _done(pieces),
        max(p.heat.imbalance for p in pieces),
        np.column_stack([cut(volumes[:, k]) for k in range(4)]),
        np.column_stack([cut(held[:, k]) for k in range(2)]),
    )


def _values(scenario: Scenario, piece: Piece) -> dict[str, Floats]:
    scene, fluid, heat = piece.scene, piece.fluid, piece.heat
    time = fluid.time
    flow, flat = scenario.flow, np.ones_like(time)
    spent = piece.spent + scene.ultrasound * (time - time[0])
    poured = fluid.volumes[:, 0] - fluid.volumes[0, 0]
    whole = number("drill.fragment").si
    span = max(float(time[-1] - time[0]), 1e-12)
    left = scene.fragment + (piece.left - scene.fragment) * (time - time[0]) / span
    position = -1.0 if scene.pedal == REFLUX else float(PEDAL.index(scene.pedal))
    free = 1 - flow.occlusion if scene.fragment > 0 and scene.pumps else 1.0
    covered = 1.0 if scene.blocked or scene.iris else 1 - free
    return {
        "time": time,
        "pedal": position * flat,
        "ultrasound": scene.ultrasound * flat,
        "power": scene.power * flat,
        "limit": scene.limit * flow.vacuum_limit * flat,
        "height": scene.height * flow.bottle_height * flat,
        "depth": number("drill.depth").si * np.maximum(fluid.volume, 0.0) / fluid.full,
        "pressure": fluid.chamber,
        "vacuum": fluid.vacuum,
        "irrigation": fluid.irrigation,
        "drops": np.maximum(fluid.irrigation, 0.0) / number("drill.drop").si,
        "bottle": np.maximum(scene.bottle - poured, 0.0),
        "aspiration": fluid.mouth + fluid.bypass,
        "leak": fluid.leak,
        "covered": covered * flat,
        "iris": float(scene.iris) * flat,
        "plug": float(scene.plug > 0) * flat,
        "load": scene.load * flat,
        "fragment": np.maximum(left, 0.0) / whole,
        "sleeve": np.interp(time, heat.time, heat.sleeve),
        "wound": np.interp(time, heat.time, heat.wound),
        "dose": np.interp(time, heat.time, heat.dose),
        "spent": spent,
    }


def _done(pieces: Sequence[Piece]) -> tuple[Change, ...]:
    found: dict[tuple[str, float], Change] = {}
    for piece in pieces:
        for what, (begin, _, end, share) in piece.standing.ramps.items():
            if end > 0:
                found[what, begin] = Change(begin, what, share, end - begin)
    return tuple(sorted(found.values(), key=lambda c: c.time))
