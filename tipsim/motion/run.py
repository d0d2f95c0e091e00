"""The motion of a scenario's needle, with everything that follows from it."""

from dataclasses import replace
from functools import cached_property

import numpy as np

from tipsim.motion import character
from tipsim.motion.assembly import assemble, press_of
from tipsim.motion.character import Character
from tipsim.motion.lumped import Complexes, Lumped
from tipsim.motion.markers import Marker, track
from tipsim.motion.parts import Parts, take_apart
from tipsim.motion.powerflow import PowerFlow, power_flow
from tipsim.motion.sections import Floats
from tipsim.motion.steady import Vibration, respond
from tipsim.motion.travel import sideways, stroke
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario


@described(eq=False)
class Motion:
    """Steady motion of a needle while the drive is on."""

    vibration: Vibration = about("Complex nodal amplitudes, hub first.")
    markers: tuple[Marker, ...] = about("The scenario's tracked points.")
    character: Character = about("Shaft strokes and shares.")
    still_points: tuple[float, ...] = about(
        "Points without sideways motion, distance from the tip [m]."
    )
    edge_stroke: float = about("Largest stroke on the mouth's rim, peak to peak [m].")
    on_fraction: float = about("Share of time that the drive is on.")
    free: Vibration | None = about(
        "The same needle and drive without lens, support and load, when there is any.",
        default=None,
    )
    squeezed: Floats | None = about(
        "Power lost in the silicone that a load squeezes, node by node [W], shape (n,); None "
        "without a load.",
        default=None,
    )

    @property
    def nodes(self) -> tuple[float, ...]:
        """Former name of `still_points`."""
        return self.still_points

    @property
    def frame(self) -> Lumped:
        """The frame that vibrates."""
        return self.vibration.frame

    @property
    def frequency(self) -> float:
        """Frequency [Hz]."""
        return self.vibration.frequency

    @property
    def displacement(self) -> Complexes:
        """Amplitudes (half of the stroke) at the nodes, shape (n, 6) [m, rad]."""
        return self.vibration.displacement

    @cached_property
    def end_stroke(self) -> float:
        """Stroke of the mouth's centre, peak to peak [m]."""
        return float(stroke(self.displacement[-1, :3]))

    @property
    def end_speed(self) -> float:
        """Peak speed of the mouth's centre [m/s]: pi times frequency times stroke."""
        return float(np.pi * self.frequency * self.end_stroke)

    @cached_property
    def stroke(self) -> Floats:
        """Whole stroke at each node, peak to peak [m], shape (n,)."""
        return stroke(self.displacement[:, :3])

    @cached_property
    def sideways_stroke(self) -> Floats:
        """Sideways stroke at each node, peak to peak [m], shape (n,)."""
        return character.sideways_stroke(self.vibration)

    @cached_property
    def surface_stroke(self) -> Floats:
        """Travel of the surface by turning alone, peak to peak [m], shape (n-1,)."""
        return character.surface_stroke(self.vibration)

    @property
    def hub_torque(self) -> float:
        """Torque amplitude about the hub's axis [N m]."""
        return float(abs(self.vibration.reaction[0, 3:] @ self.frame.node_tangent[0]))

    @property
    def hub_force(self) -> float:
        """Force amplitude along the hub's axis [N]."""
        return float(abs(self.vibration.reaction[0, :3] @ self.frame.node_tangent[0]))

    @property
    def hub_side_force(self) -> float:
        """Force amplitude across the hub's axis [N]."""
        return float(stroke(self._across(self.vibration.reaction[0, :3]))) / 2

    @property
    def hub_moment(self) -> float:
        """Amplitude of the moment that tilts the hub [N m]."""
        return float(stroke(self._across(self.vibration.reaction[0, 3:]))) / 2

    @property
    def hub_shift(self) -> float:
        """Stroke of the hub across its axis, peak to peak [m]."""
        return float(stroke(self._across(self.displacement[0, :3])))

    @property
    def hub_tilt(self) -> float:
        """Rocking of the hub, peak to peak [rad]."""
        return float(stroke(self._across(self.displacement[0, 3:])))

    def _across(self, three: Complexes) -> Complexes:
        return sideways(three, self.frame.node_tangent[0])

    @cached_property
    def parts(self) -> Parts:
        """The motion taken apart: as if rigid, bending, twist and stretch."""
        return take_apart(self.vibration)

    @cached_property
    def power_flow(self) -> PowerFlow:
        """Power that passes each place, while the drive is on."""
        return power_flow(self.vibration)

    @property
    def power(self) -> float:
        """Mean power that the hub puts in while the drive is on [W]."""
        return self.vibration.power_in

    @property
    def mean_power(self) -> float:
        """The same over pulses and rests [W]; build-up and ring-down are left out."""
        return self.power * self.on_fraction


def run(scenario: Scenario) -> Motion:
    """Solve the steady motion of a needle.

    Examples
    --------
    >>> straight = run(Scenario.preset("straight, axial"))
    >>> round(straight.end_stroke * 1e6)
    90
    """
    needle = scenario.needle
    found = loaded_vibration(scenario)
    vibration = found.vibration
    radius = float(needle.radii_at([needle.length])[0][0])
    return Motion(
        vibration,
        track(vibration, scenario.markers),
        character.characterise(vibration, needle.taper_length, needle.first_bend),
        character.still_points(vibration),
        character.edge_stroke(vibration, radius, needle.bevel),
        scenario.duty.on_fraction,
        found.free,
        found.squeezed,
    )


@described(eq=False)
class Loaded:
    """A vibration under what presses on the needle."""

    vibration: Vibration
    free: Vibration | None = about("The same without any of it, when there is any.", default=None)
    squeezed: Floats | None = about(
        "Power lost in the silicone that a load squeezes, node by node [W], shape (n,).",
        default=None,
    )


ROUNDS = 4
"""How often at most the motion is solved while a load's sleeve loses touch in each cycle."""
ALIKE = 1e-3
"""Changes of the share in touch below this count as none."""


def loaded_vibration(scenario: Scenario) -> Loaded:
    """Solve the vibration with what presses on the needle, and without it where that differs.

    A handpiece that holds its motion keeps the hub's stroke; one that holds its power takes the
    power of the free needle, and everything scales so that the loaded needle takes as much.
    """
    frequency, hub = scenario.drive.frequency, hub_motion(scenario)
    if scenario.lens is None and scenario.support is None and scenario.press is None:
        return Loaded(respond(assemble(scenario), frequency, base=hub))
    free = respond(
        assemble(replace(scenario, lens=None, support=None, press=None)), frequency, base=hub
    )
    pressed = press_of(scenario)
    share: Floats | float = 1.0
    angular = 2 * np.pi * frequency
    bare = frame = assemble(scenario, 0.0)
    for _ in range(ROUNDS if pressed else 1):
        if pressed is not None:
            frame = bare.loaded(*pressed.springs(share, angular))
        loaded = respond(frame, frequency, base=hub)
        if scenario.drive.holds == "power" and loaded.power_in > 0:
            loaded = loaded.scaled(float(np.sqrt(free.power_in / loaded.power_in)))
        if pressed is not None:
            used, share = share, pressed.touching(loaded.displacement)
            if np.abs(share - used).max() < ALIKE:
                break
    if pressed is None:
        return Loaded(loaded, free)
    damping = pressed.springs(used, angular)[1]
    v = loaded.velocity
    lost = 0.5 * np.einsum("ni,nij,nj->n", v.conj(), damping, v).real
    return Loaded(loaded, free, lost)


def hub_motion(scenario: Scenario) -> dict[str, complex]:
    """Return the hub's motion as amplitudes: axial [m], twist [rad], half of the strokes."""
    drive = scenario.drive
    out: dict[str, complex] = {}
    if drive.has_axial:
        out["axial"] = complex(drive.power * drive.axial_stroke / 2)
    if drive.has_twist:
        ahead = drive.phase if drive.has_axial else 0.0
        out["twist"] = complex(drive.power * drive.twist_stroke / 2 * np.exp(1j * ahead))
    return out
