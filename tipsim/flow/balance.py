"""The steady balance: what bottle, lines, sleeve, wound, mouth and pump make of each other.

A flow-controlled pump gives the flow that is set as long as its vacuum stays within the limit;
beyond, it holds the limit. A vacuum-controlled pump holds its vacuum, and the flow follows the
resistance. The wound is a narrow slit, whose leak grows in proportion to the chamber's pressure.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from tipsim.flow.circuit import Circuit, bottle_pressure, circuit
from tipsim.setup.described import about, described
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

_PLENTY = 1e-4
"""More than any flow here [m³/s]: 6 L/min."""
_FINE = 1e-16
"""Flows are found to this [m³/s]."""
_NOTHING = 1e-13
"""What counts as no flow [m³/s]."""
_SCALE = (1e-7, 1e4)
"""Scale of flows beside pressures [m³/s, Pa]."""


@described()
class Flows:
    """Flows of a bench [m³/s]."""

    mouth: float = about("Into the mouth, and from the sleeve through the bypass hole.")
    bypass: float
    irrigation: float = about(
        "From the bottle into the sleeve: what leaves by mouth, hole and wound."
    )
    leak: float = about("Out of the wound.")


@described()
class Balance:
    """A bench at rest."""

    chamber_pressure: float = about("Above the room's [Pa].")
    bottle_pressure: float
    pump_vacuum: float = about(
        "At the pump, below the room's pressure [Pa]; less than 0 where the chamber pushes fluid "
        "through the pump."
    )
    flows: Flows
    limited: bool = about(
        "Whether a flow-controlled pump holds its vacuum limit and gives less than its set flow."
    )
    collapses: bool = about(
        "Whether the chamber gets less than is drawn: it would fall flat. The numbers then "
        "stand for a flat chamber at the room's pressure, from which only what comes in is "
        "drawn; what iris and lens do then is not modelled."
    )
    reynolds: tuple[tuple[str, float], ...] = about("Reynolds number in each tube.")
    port_speed: float = about(
        "Mean speed of the jets that leave the ports [m/s], before they spread."
    )

    @property
    def vacuum(self) -> float:
        """Vacuum that the pump shows [Pa]: 0 where the chamber pushes fluid through it."""
        return max(0.0, self.pump_vacuum)

    @property
    def pushes(self) -> bool:
        """Whether the chamber's pressure alone would push the set flow through the pump."""
        return self.pump_vacuum < 0 and self.flows.mouth + self.flows.bypass > _NOTHING

    @property
    def leak_share(self) -> float:
        """Leak as a share of the irrigation; 0 where nothing comes in."""
        inward = self.flows.irrigation
        return self.flows.leak / inward if inward > _NOTHING else 0.0

    @property
    def turbulent(self) -> tuple[str, ...]:
        """Tubes in which the flow is beyond laminar: their real resistance is larger."""
        limit = number("flow.laminar").si
        return tuple(name for name, value in self.reynolds if value > limit)


@dataclass(frozen=True)
class _Inside:
    """Flows and pressures that belong to one pressure in the chamber."""

    supply: float
    bypass: float
    mouth: float
    top: float  # pressure in the bore above the hole

    @property
    def drawn(self) -> float:
        return self.mouth + self.bypass


def balance(scenario: Scenario, flow: Flow | None = None) -> Balance:
    """Solve the steady flow of a bench.

    Parameters
    ----------
    flow : Flow, optional
        Setting at this moment; the scenario's own when absent.

    Returns
    -------
    Balance
        Kept, so that asking again costs nothing.

    Examples
    --------
    >>> b = balance(Scenario.preset("single-bend, torsional"))
    >>> round(b.flows.mouth * 60e6, 3), b.limited, b.collapses
    (25.0, False, False)
    """
    flow = flow or scenario.flow
    return solve_circuit(circuit(scenario, flow), flow)


def flows(scenario: Scenario, flow: Flow | None = None) -> Flows:
    """Return only the flows of `balance`."""
    return balance(scenario, flow).flows


def leak_conductance(flow: Flow) -> float:
    """Return the wound's leak per pressure in the chamber [m³/s/Pa]."""
    return flow.leak / flow.leak_pressure


def _root(function: Callable[[float], float], low: float, high: float, xtol: float) -> float:
    """Return where a function crosses 0 between two places."""
    # Only now: this package takes a third of a second to load.
    from scipy.optimize import brentq

    return float(brentq(function, low, high, xtol=xtol))


@lru_cache(maxsize=512)
def solve_circuit(ways: Circuit, flow: Flow) -> Balance:
    """Solve the steady flow through given ways; see `balance`."""
    bottle = 0.0 if ways.bath else bottle_pressure(flow, ways.density)
    open_share = 1 - flow.occlusion
    if open_share == 0 and ways.bypass is None:
        return _shut(ways, flow, bottle)
    if ways.bath:
        return _bath(ways, flow)

    def short(pressure: float) -> float:
        return _pump(ways, flow, _inside(ways, flow, pressure, bottle))

    flat = short(0.0) < 0
    # With the bottle's own pressure in the chamber nothing comes in, so nothing is drawn.
    pressure = 0.0 if flat or bottle == 0 else _root(short, 0.0, bottle, xtol=1e-7)
    inside = _inside(ways, flow, pressure, bottle)
    return _told(ways, flow, bottle, pressure, inside, flat)


def _inside(ways: Circuit, flow: Flow, pressure: float, bottle: float) -> _Inside:
    """Return what flows when the chamber has a pressure [Pa]."""
    leak, share = leak_conductance(flow) * pressure, 1 - flow.occlusion
    if ways.bypass is None:
        supply = (ways.supply + ways.onward).flow(bottle - pressure)
        mouth = supply - leak
        return _Inside(supply, 0.0, mouth, pressure - ways.narrowed(share).drop(mouth))
    if share == 0:
        onward = leak
        before = pressure + ways.onward.drop(onward)
        supply = ways.supply.flow(bottle - before)
        through = supply - onward
        return _Inside(supply, through, 0.0, before - ways.bypass.drop(through))
    mouth_way, hole = ways.narrowed(share), ways.bypass

    def through_of(onward: float) -> float:
        return ways.supply.flow(bottle - pressure - ways.onward.drop(onward)) - onward

    def off(onward: float) -> float:
        inward = mouth_way.drop(onward - leak)
        return hole.drop(through_of(onward)) - ways.onward.drop(onward) - inward

    most = (ways.supply + ways.onward).flow(bottle - pressure)
    low, high = (0.0, most) if most > leak else (-_PLENTY, _PLENTY)
    onward = _root(off, low, high, xtol=_FINE)
    through, mouth = through_of(onward), onward - leak
    return _Inside(onward + through, through, mouth, pressure - mouth_way.drop(mouth))


def _pump(ways: Circuit, flow: Flow, inside: _Inside) -> float:
    """Return whether more is drawn than the pump takes (above 0), or less (below 0)."""
    vacuum = (ways.bore + ways.line).drop(inside.drawn) - inside.top
    over = (vacuum - flow.vacuum_limit) / _SCALE[1]
    if flow.by_vacuum:
        # A pump that is told to hold no vacuum shuts its line.
        return over if flow.vacuum_limit > 0 else inside.drawn / _SCALE[0]
    return max((inside.drawn - flow.aspiration) / _SCALE[0], over)


def _bath(ways: Circuit, flow: Flow) -> Balance:
    """Solve for an end in an open bath: no bottle, no wound."""
    mouth_way, hole = ways.narrowed(1 - flow.occlusion) if flow.occlusion < 1 else None, ways.bypass

    def inside(drawn: float) -> _Inside:
        if mouth_way is None:
            assert hole is not None
            return _Inside(0.0, drawn, 0.0, -hole.drop(drawn))
        if hole is None:
            return _Inside(0.0, 0.0, drawn, -mouth_way.drop(drawn))
        through = _root(
            lambda q: hole.drop(q) - mouth_way.drop(drawn - q), 0.0, max(drawn, _FINE), xtol=_FINE
        )
        return _Inside(0.0, through, drawn - through, -hole.drop(through))

    most = _PLENTY if flow.by_vacuum else flow.aspiration
    drawn = most
    if _pump(ways, flow, inside(most)) > 0:
        drawn = _root(lambda q: _pump(ways, flow, inside(q)), 0.0, most, xtol=_FINE)
    return _told(ways, flow, 0.0, 0.0, inside(drawn), False)


def _shut(ways: Circuit, flow: Flow, bottle: float) -> Balance:
    """Solve for a blocked mouth and no bypass hole: the pump draws its vacuum and no flow."""
    pressure = 0.0
    if not ways.bath:
        leak = leak_conductance(flow)
        whole = ways.supply + ways.onward
        if bottle > 0:
            pressure = _root(lambda p: whole.flow(bottle - p) - leak * p, 0.0, bottle, xtol=1e-7)
    supply = 0.0 if ways.bath else leak_conductance(flow) * pressure
    vacuum = flow.vacuum_limit if flow.by_vacuum or flow.aspiration > 0 else 0.0
    return _told(ways, flow, bottle, pressure, _Inside(supply, 0.0, 0.0, -vacuum), False)


def _told(
    ways: Circuit, flow: Flow, bottle: float, pressure: float, inside: _Inside, flat: bool
) -> Balance:
    drawn = inside.drawn
    vacuum = (ways.bore + ways.line).drop(drawn) - inside.top
    leak = leak_conductance(flow) * pressure
    q = {
        "bore": drawn,
        "line to the pump": drawn,
        "gap in the sleeve": inside.supply,
        "line from the bottle": inside.supply,
    }
    onward = inside.supply - inside.bypass if ways.onward.square else inside.supply
    return Balance(
        chamber_pressure=pressure,
        bottle_pressure=bottle,
        pump_vacuum=vacuum,
        flows=Flows(inside.mouth, inside.bypass, inside.supply, leak),
        limited=not (flat or flow.by_vacuum) and drawn < flow.aspiration * (1 - 1e-6) - _NOTHING,
        collapses=flat,
        reynolds=tuple((name, abs(each * q[name])) for name, each in ways.per_flow),
        port_speed=onward / ways.ports if ways.ports else 0.0,
    )
