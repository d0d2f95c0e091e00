"""A bench as ways for fluid: from the bottle to the chamber, from the mouth to the pump."""

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np

from tipsim.flow.path import Path, annulus, hole, profile, tube
from tipsim.setup.described import about, described
from tipsim.setup.flow import Flow, Fluid, Lines
from tipsim.setup.needle import Needle
from tipsim.setup.scenario import Scenario
from tipsim.setup.sleeve import Sleeve

GRAVITY = 9.80665
"""Standard gravity [m/s²]."""
_SLICES = 60
Pinch = tuple[float, float, float]
"""Where a load begins and ends from the hub [m], and the share of the gap that it leaves."""


@described()
class Circuit:
    """All ways of one bench."""

    supply: Path = about(
        "From the bottle to the bypass hole's place in the sleeve; without a hole, to the chamber."
    )
    onward: Path = about(
        "From there to the chamber, ports included; nothing without a hole in the sleeve."
    )
    mouth: Path = about(
        "From the chamber into the free mouth, and up the bore to the hole (without one: "
        "nothing more)."
    )
    narrowing: float = about("K of the mouth as a sharp hole [Pa s²/m⁶]: grows with 1/open² − 1.")
    bypass: Path | None
    bore: Path = about("Up the rest of the bore.")
    line: Path = about("The line to the pump; that of a vacuum-controlled pump is narrower.")
    bath: bool = about("Without a sleeve the end stands in an open bath at the room's pressure.")
    density: float = about("[kg/m³].")
    bottle_line: Path = about("The part of `supply` that is the line from the bottle.")
    supply_inertia: float = about(
        "Mass of water over area² in the ways before the chamber, and in the bore [kg/m⁴]."
    )
    bore_inertia: float
    line_inertia: float = about("Of the whole line to the pump [kg/m⁴].")
    per_flow: tuple[tuple[str, float], ...] = about(
        "Name of each tube and its Reynolds number per flow [s/m³]."
    )
    ports: float = about("Area of both ports [m²].")

    def narrowed(self, open_share: float) -> Path:
        """Return the way into the mouth when only a share of it is open, above 0 and up to 1."""
        return replace(self.mouth, square=self.mouth.square + self.choke(open_share))

    def kinked(self, open_share: float) -> "Circuit":
        """Return the same bench with the bottle's line narrowed all along to a share of its bore.

        >>> from tipsim.setup.scenario import Scenario
        >>> ways = circuit(Scenario.preset("straight, axial"))
        >>> more = ways.kinked(0.5).supply.linear - ways.supply.linear
        >>> round(more / ways.bottle_line.linear, 6)
        15.0
        """
        return replace(self, supply=self.supply + Path(self.kink(open_share)))

    def kink(self, open_share: float) -> float:
        """Return what a line narrowed to a share of its bore adds in resistance [Pa s/m³]."""
        return self.bottle_line.linear * (1 / open_share**4 - 1)

    def choke(self, open_share: float) -> float:
        """Return what a narrowed mouth adds to the square term [Pa s²/m⁶]."""
        return self.narrowing * (1 / open_share**2 - 1)


def bottle_pressure(flow: Flow, density: float) -> float:
    """Return the pressure of the bottle at the eye's height [Pa].

    Examples
    --------
    >>> one = bottle_pressure(Flow(0.0, 0.0, bottle_height=0.01), 1000.0)
    >>> round(one / 133.322387415, 4)  # mmHg per cm
    0.7356
    """
    return density * GRAVITY * flow.bottle_height


def circuit(scenario: Scenario, flow: Flow | None = None) -> Circuit:
    """Return the ways of a bench; kept, as they change only with needle, sleeve, fluid and pump."""
    bore = line_bore(scenario.lines, flow or scenario.flow)
    parts = scenario.needle, scenario.sleeve, scenario.fluid, scenario.lines
    return _circuit(*parts, bore, pinched(scenario))


def pinched(scenario: Scenario) -> Pinch | None:
    """Return where a load narrows the gap in the sleeve; None without one.

    It presses the sleeve onto the shaft over its arc, and leaves the rest of the gap as it is:
    assumed, as in the heat model.
    """
    if scenario.press is None:
        return None
    near, far = scenario.press.span(scenario.incision)
    length = scenario.needle.length
    return length - far, length - near, 1 - scenario.press.arc / (2 * math.pi)


def line_bore(lines: Lines, flow: Flow) -> float:
    """Return the bore of the line to the pump [m]: each kind of pump has its own line."""
    return lines.vacuum_bore if flow.by_vacuum else lines.aspiration_bore


@lru_cache(maxsize=64)
def _circuit(
    needle: Needle,
    sleeve: Sleeve | None,
    fluid: Fluid,
    lines: Lines,
    line_width: float,
    pinch: Pinch | None,
) -> Circuit:
    mu, rho = fluid.viscosity, fluid.density
    cd = lines.discharge
    last = float(needle.radii_at([needle.length])[1][0])
    area = math.pi * last**2
    at = needle.bypass_distance if needle.has_bypass else needle.length
    lower, upper = _bore(needle, mu, at, needle.length), _bore(needle, mu, 0.0, at)
    inlet = Path(0.0, lines.inlet * rho / 2 / area**2)
    supply, onward, mass, ports = _sleeve(needle, sleeve, fluid, lines, at, pinch)
    through = None
    if needle.has_bypass:
        through = hole(rho, math.pi * needle.bypass_diameter**2 / 4, cd)
    length, radius = lines.aspiration_length, line_width / 2
    narrow = hole(rho, needle.mouth_area, cd).square
    bore_mass = rho * needle.length / (math.pi * needle.inner_radius**2)
    return Circuit(
        supply=supply,
        onward=onward,
        mouth=inlet + (lower if through else Path()),
        narrowing=narrow,
        bypass=through,
        bore=upper,
        line=tube(mu, length, radius),
        bath=sleeve is None,
        density=rho,
        bottle_line=tube(mu, lines.irrigation_length, lines.irrigation_bore / 2),
        supply_inertia=mass,
        bore_inertia=bore_mass,
        line_inertia=rho * length / (math.pi * radius**2),
        per_flow=_reynolds(needle, sleeve, fluid, lines, radius),
        ports=ports,
    )


def _bore(needle: Needle, viscosity: float, start: float, end: float) -> Path:
    inside = [j for j in needle.joints if start < j < end]
    places = [start, *map(float, inside), end]
    return profile(viscosity, places, needle.radii_at(places)[1].tolist())


def _sleeve(
    needle: Needle,
    sleeve: Sleeve | None,
    fluid: Fluid,
    lines: Lines,
    at: float,
    pinch: Pinch | None,
) -> tuple[Path, Path, float, float]:
    """Return the ways before and behind the hole's place, the water's inertia, and the ports."""
    if sleeve is None:
        return Path(), Path(), 0.0, 0.0
    mu, rho = fluid.viscosity, fluid.density
    length, radius = lines.irrigation_length, lines.irrigation_bore / 2
    before, mass = tube(mu, length, radius), rho * length / (math.pi * radius**2)
    ports = 2 * math.pi * sleeve.port_diameter**2 / 4
    way_out = hole(rho, ports, lines.discharge)
    # The sleeve's end closes around the needle: all leaves by the ports.
    end = max(needle.length - sleeve.exposed - sleeve.port_distance, needle.taper_length / 2)
    behind = Path()
    edges = np.linspace(0.0, end, _SLICES + 1)
    middle, step = (edges[1:] + edges[:-1]) / 2, end / _SLICES
    outer = needle.radii_at(middle)[0]
    wall = sleeve.radius_around(needle, outer)
    for s, a, b in zip(middle.tolist(), outer.tolist(), wall.tolist(), strict=True):
        piece = annulus(mu, step * _narrowed(pinch, s, step), a, b)
        mass += rho * step / (math.pi * (b**2 - a**2))
        if s < at:
            before += piece
        else:
            behind += piece
    if needle.has_bypass and at < end:
        return before, behind + way_out, mass, ports
    return before + behind + way_out, Path(), mass, ports


def _narrowed(pinch: Pinch | None, middle: float, step: float) -> float:
    """Return the resistance of a slice of the gap over that of the open gap."""
    if pinch is None:
        return 1.0
    begin, end, left = pinch
    inside = min(middle + step / 2, end) - max(middle - step / 2, begin)
    share = max(inside, 0.0) / step
    return 1 + share * (1 / left - 1)


def _reynolds(
    needle: Needle, sleeve: Sleeve | None, fluid: Fluid, lines: Lines, line_radius: float
) -> tuple[tuple[str, float], ...]:
    """Return the Reynolds number on the hydraulic diameter, per flow, of each tube."""
    nu = fluid.viscosity / fluid.density
    narrow = float(needle.radii_at(needle.joints)[1].min())
    out = [("bore", 2 / (math.pi * narrow * nu))]
    out.append(("line to the pump", 2 / (math.pi * line_radius * nu)))
    if sleeve is not None:
        # 2 (b - a) v / nu with v = q / pi (b² - a²).
        around = sleeve.inner_radius + needle.outer_radius
        out.append(("gap in the sleeve", 2 / (math.pi * around * nu)))
        out.append(("line from the bottle", 2 / (math.pi * (lines.irrigation_bore / 2) * nu)))
    return tuple(out)
