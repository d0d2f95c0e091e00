"""From a scenario to the frame that stands for it.

The needle's geometry is worked out once: distances of the nodes, then points and radii there; what
surrounds the needle (`Coverage`) is made of these, and so are contact and support.
"""

from functools import lru_cache
from typing import Any

import numpy as np

from tipsim.motion.contact import lens_matrices, support_matrices
from tipsim.motion.frame import Frame
from tipsim.motion.hub import HubSprings
from tipsim.motion.lumped import Surroundings
from tipsim.motion.ovalisation import softness
from tipsim.motion.press import Pressed, pressed_at_nodes
from tipsim.motion.sections import Floats
from tipsim.motion.sleeve import borders, mobility
from tipsim.motion.water import (
    annulus_factor,
    clinging_factor,
    clinging_film,
    layer_resistance,
    sideways_film,
)
from tipsim.setup.described import about, described
from tipsim.setup.hub import Hub
from tipsim.setup.load import Support
from tipsim.setup.needle import Needle
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press


@described(eq=False)
class Coverage:
    """Radii of a needle and what the fluid around it does, place by place."""

    outer: Floats = about("Radii of the metal [m], shape (m,).")
    inner: Floats
    added: Floats = about(
        "Added mass of the fluid outside over the mass of the displaced fluid; 0 where dry. "
        "Shape (m,)."
    )
    film: Floats = about(
        "The film's share of sideways motion, see `tipsim.motion.water.sideways_film`, shape (m,)."
    )
    wet: np.ndarray = about("Whether there is fluid outside, shape (m,) of bool.")
    density: float = about("Of the fluid [kg/m³], and its Stokes-layer coefficient [N s^1.5/m³].")
    layer: float


def assemble(scenario: Scenario, touching: Floats | float = 1.0) -> Frame:
    """Return the lumped frame of a needle with its fluid.

    Parameters
    ----------
    scenario : Scenario
        Needle, sleeve, fluid, losses, contact and node spacing.
    touching : (n,) array or float
        Share of the springs of a load on the sleeve that is left, node by node, where the shaft
        swings away from it; see `tipsim.motion.press`.

    Returns
    -------
    Frame
        Hub first, tip last. A node stands at the taper's end, at every joint, at the sleeve's
        end and where the sleeve's surroundings change, so that no segment is half in the sleeve.

    Examples
    --------
    >>> assemble(Scenario.preset("straight, axial"))
    Frame(91 nodes, 17.70 mm, Ti-6Al-4V)
    """
    metal = _metal(scenario.needle, scenario.spacing, borders(scenario))
    s, outer, inner = metal.s, metal.outer, metal.inner
    n = len(s)
    springs, dampers = loads_at_nodes(scenario, s, metal.tangent, float(outer[n - 1]))
    pressed = press_on(scenario, s, metal.tangent, outer[:n])
    if pressed is not None:
        angular = 2 * np.pi * scenario.drive.frequency
        add_at_nodes(springs, dampers, *pressed.springs(touching, angular))
    return metal.frame.surrounded(
        water_around(_coverage(scenario, (s[1:] + s[:-1]) / 2, outer[n:], inner[n:])),
        springs,
        dampers,
        scenario.loss_factor,
        hub_springs(scenario.hub),
    )


@described(eq=False)
class _Metal:
    """What a needle and its nodes decide alone."""

    s: Floats = about("Distances of the nodes from the hub [m], and unit tangents there.")
    tangent: Floats
    outer: Floats = about("Radii at the nodes and then in the middle of the segments [m].")
    inner: Floats
    frame: Frame


@lru_cache(maxsize=24)
def _metal(needle: Needle, spacing: float, borders: tuple[float, ...]) -> _Metal:
    """Work out a needle's geometry and its metal's stiffness; kept for the next setting of it."""
    s = needle.stations(spacing, borders)
    middle = (s[1:] + s[:-1]) / 2
    outer, inner = needle.radii_at(np.concatenate([s, middle]))
    n = len(s)
    tangent = needle.tangents_at(s)
    frame = Frame(
        needle.points_at(s),
        outer[:n],
        inner[:n],
        needle.material,
        directions=tangent,
        softness=softness(needle, middle, outer[n:], inner[n:]),
    )
    return _Metal(s, tangent, outer, inner, frame)


def hub_springs(hub: Hub) -> HubSprings | None:
    """Return what holds the hub across its axis; None for a rigid hub."""
    return None if hub.held == "rigid" else HubSprings(hub.side_stiffness, hub.tilt_stiffness)


def loads_at_nodes(
    scenario: Scenario, s: Floats, tangent: Floats, tip_radius: float
) -> tuple[dict[int, Any], dict[int, Any]]:
    """Return springs and dashpots of lens and support by node, for a `Frame`.

    Parameters
    ----------
    s, tangent : (n,), (n, 3) arrays
        Distances of the nodes from the hub [m], and unit tangents there.
    tip_radius : float
        Outer radius at the tip [m].
    """
    springs: dict[int, Any] = {}
    dampers: dict[int, Any] = {}
    if scenario.support is not None:
        angular = 2 * np.pi * scenario.drive.frequency
        k, c = support_matrices(
            scenario.support, held_lengths(scenario, scenario.support, s), tangent, angular
        )
        add_at_nodes(springs, dampers, k, c)
    if scenario.lens is not None and scenario.lens.contact > 0:
        k_end, c_end = lens_matrices(scenario.lens, tip_radius, tangent[-1])
        last = len(s) - 1
        springs[last] = springs.get(last, 0) + k_end
        dampers[last] = dampers.get(last, 0) + c_end
    return springs, dampers


def add_at_nodes(
    springs: dict[int, Any], dampers: dict[int, Any], stiffness: Floats, damping: Floats
) -> None:
    """Add springs and dashpots (n, 6, 6) to those by node, where they are not 0."""
    for node in map(int, np.flatnonzero(stiffness.any(axis=(1, 2)))):
        springs[node] = springs.get(node, 0) + stiffness[node]
        dampers[node] = dampers.get(node, 0) + damping[node]


def press_on(scenario: Scenario, s: Floats, tangent: Floats, outer: Floats) -> Pressed | None:
    """Return what a load on the sleeve does at nodes from the hub; None without one."""
    if scenario.press is None or scenario.sleeve is None:
        return None
    # Only what the sleeve covers can be pressed.
    held = held_lengths(scenario, scenario.press, s) * (s <= scenario.sleeve_end)
    return pressed_at_nodes(scenario, held, tangent, outer)


def press_of(scenario: Scenario) -> Pressed | None:
    """Return what a load on the sleeve does at the nodes of `assemble`; None without one."""
    if scenario.press is None or scenario.sleeve is None:
        return None
    metal = _metal(scenario.needle, scenario.spacing, borders(scenario))
    return press_on(scenario, metal.s, metal.tangent, metal.outer[: len(metal.s)])


def held_lengths(scenario: Scenario, by: Support | Press, s: Floats) -> Floats:
    """Return the length that something holds of what each node stands for [m], (n,).

    A node stands for half of each neighbouring segment.
    """
    borders = s[-1] - np.concatenate([s[:1], (s[1:] + s[:-1]) / 2, s[-1:]])
    near, far = by.span(scenario.incision)
    held = np.minimum(borders[:-1], far) - np.maximum(borders[1:], near)
    return np.asarray(np.clip(held, 0, None))


def coverage(scenario: Scenario, s: Floats) -> Coverage:
    """Return radii and surroundings of a scenario's needle at distances from the hub (m,) [m]."""
    return _coverage(scenario, s, *scenario.needle.radii_at(s))


def _coverage(scenario: Scenario, s: Floats, outer: Floats, inner: Floats) -> Coverage:
    fluid, sleeve = scenario.fluid, scenario.sleeve
    wet = np.full(s.shape, scenario.outside.kind != "dry")
    added, film = _bare(scenario, s, outer)
    if sleeve is not None:
        sleeved = s < scenario.sleeve_end
        wall = sleeve.radius_around(scenario.needle, outer)
        follows = mobility(scenario, s, outer)
        added = np.where(sleeved, annulus_factor(outer, wall, follows), added)
        film = np.where(sleeved, sideways_film(outer, wall, follows), film)
        wet = wet | sleeved
    layer = layer_resistance(fluid.density, fluid.viscosity)
    return Coverage(outer, inner, added, film, wet, fluid.density, layer)


def _bare(scenario: Scenario, s: Floats, outer: Floats) -> tuple[Floats, Floats]:
    """Return added mass and film's share on bare metal, as in `Coverage`.

    Fluid all around where it stands in the chamber or the wound, a clinging film where it is in
    air.
    """
    kind = scenario.outside.kind
    if kind == "dry":
        return np.zeros(s.shape), np.zeros(s.shape)
    thick = outer + scenario.outside.film
    in_air = np.full(s.shape, kind == "air")
    if kind == "wound":
        in_air = scenario.needle.length - s > scenario.incision.span[1]
    return (
        np.where(in_air, clinging_factor(outer, thick), 1.0),
        np.where(in_air, clinging_film(outer, thick), sideways_film(outer, None)),
    )


def water_around(here: Coverage) -> Surroundings:
    """Return the fluid's mass and films per metre of needle.

    Sideways mass rho pi (c² + k a²), with bore radius c, outer radius a and the factor k of
    the added mass [kg/m]; films see `film_parts`.
    """
    outside, bore = film_parts(here)
    return Surroundings(
        sideways_mass=here.density * np.pi * (here.inner**2 + here.added * here.outer**2),
        film_sideways=outside.film_sideways,
        film_along=np.asarray(outside.film_along) + np.asarray(bore.film_along),
        film_twist=np.asarray(outside.film_twist) + np.asarray(bore.film_twist),
    )


def film_parts(here: Coverage) -> tuple[Surroundings, Surroundings]:
    """Return the Stokes layers outside the needle and in its bore, without any mass.

    With the layer's coefficient R at radius r: 2 pi r R lengthwise and, times the film's share,
    sideways [N s^1.5/m²]; 2 pi r³ R in twist [N s^1.5]. Fluid in the bore moves sideways with
    the needle.
    """
    wet = np.where(here.wet, here.layer, 0.0)
    outside = Surroundings(
        film_sideways=2 * np.pi * here.outer * wet * here.film,
        film_along=2 * np.pi * here.outer * wet,
        film_twist=2 * np.pi * here.outer**3 * wet,
    )
    bore = Surroundings(
        film_along=2 * np.pi * here.inner * here.layer,
        film_twist=2 * np.pi * here.inner**3 * here.layer,
    )
    return outside, bore
