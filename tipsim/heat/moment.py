"""One moment of a bench: its network, what heats it, what can boil."""

from dataclasses import replace

import numpy as np

from tipsim.flow.balance import Flows
from tipsim.heat.boiling import Boiling, boiling
from tipsim.heat.build import Network
from tipsim.heat.cells import Cells
from tipsim.heat.network import network
from tipsim.heat.placing import spread
from tipsim.heat.power import Heating, heating
from tipsim.heat.sources import Sources, heat_sources
from tipsim.heat.state import State, first_state
from tipsim.heat.thermal import Properties
from tipsim.heat.viscoelastic import stilled, thickened
from tipsim.heat.ways import placed, pressed_shut, ways
from tipsim.motion.run import Motion
from tipsim.setup.scenario import Scenario


def equations(
    scenario: Scenario, cells: Cells, state: State, found: Flows | None = None
) -> tuple[Network, Boiling]:
    """Return the network of a bench in a state, and what can boil in it.

    Parameters
    ----------
    found : Flows, optional
        What flows at this moment; from the balance of the state's flow when absent.
    """
    here = replace(scenario, press=state.press)
    closed = pressed_shut(here, cells, state.press)
    moves = (
        ways(here, cells, state.flowing, closed)
        if found is None
        else placed(here, cells, found, closed)
    )
    n = Properties.of(here)
    if state.stuck:
        n = stilled(n, here, cells)
    if state.flat:
        n = replace(n, chamber_c=n.chamber_c * here.chamber.left)
    net = network(here, cells, state.flowing, state.press, moves, n)
    return net, boiling(here, cells, net, moves)


def sources_of(scenario: Scenario, motion: Motion, cells: Cells) -> Sources:
    """Return the watts of a bench as it is set at the start, by slice and cause."""
    found = heat_sources(scenario, motion, cells.edges)
    return thickened(scenario, cells, found, 1.0) if first_state(scenario).stuck else found


def heating_of(
    scenario: Scenario, motion: Motion, cells: Cells, state: State, duty: float
) -> Heating:
    """Return what heats a bench in a state, its power averaged by a share of time.

    Parameters
    ----------
    motion : Motion
        Under what presses in that state.
    """
    nothing = np.zeros(cells.size)
    if not state.on or state.power <= 0:
        return heating(cells, nothing, nothing, scenario.fluid.temperature)
    found = heat_sources(replace(scenario, press=state.press), motion, cells.edges)
    own = scenario.drive.power
    # Rubbing goes with speed, everything else with speed squared.
    linear = state.power / own if own else 0.0
    if state.stuck:
        found = thickened(scenario, cells, found, linear)
    closed = pressed_shut(scenario, cells, state.press)
    fixed, films = spread(found, cells, state.press, linear**2, linear, closed, state.stuck)
    return heating(cells, duty * fixed, duty * films, scenario.fluid.temperature)
