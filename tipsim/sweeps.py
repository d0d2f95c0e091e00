"""One input moved through values: any output over it."""

from collections.abc import Iterable
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.response import Response, response
from tipsim.quantities import quantity
from tipsim.quantities.declare import in_unit
from tipsim.quantities.rows import Table
from tipsim.setup.described import about, described
from tipsim.setup.inputs import find_input
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result
from tipsim.tissue.bands import Band

FAST = {
    "motion.end_stroke": "end",
    "motion.shaft_rms": "shaft",
    "motion.hub_torque": "torque",
    "motion.hub_force": "force",
    "motion.power": "power",
}
"""Outputs that a sweep of frequency gives all at once, and their names in `Response`."""


@described(eq=False, repr=False)
class Sweep:
    """Results over the values of one input."""

    scenario: Scenario = about("With the input as it was.")
    name: str = about('The input\'s name, such as "drive.frequency".')
    values: tuple[Any, ...] = about("Its values, in SI.")
    scenarios: tuple[Scenario, ...] = about("One for each value.")

    @cached_property
    def results(self) -> tuple[Result, ...]:
        """One result for each value, computed as its parts are asked for."""
        return tuple(Result(s) for s in self.scenarios)

    @cached_property
    def _response(self) -> Response | None:
        """Motion over frequency at once; a load would have to be solved at each frequency."""
        free = self.scenario.lens is None and self.scenario.support is None
        if self.name != "drive.frequency" or not free:
            return None
        return response(self.scenario, np.array(self.values))

    def __len__(self) -> int:
        return len(self.values)

    def __getitem__(self, name: str) -> NDArray[Any]:
        """Return an output over the values, in SI; of a band the usual value."""
        one = quantity(name)
        if name in FAST and self._response is not None:
            return np.asarray(getattr(self._response, FAST[name]))
        found = [one.get(r) for r in self.results]
        return np.array([v.usual if isinstance(v, Band) else v for v in found])

    def table(self, *names: str) -> Table:
        """Return the input and some outputs in their units; the tip's stroke when none is named."""
        one = find_input(Scenario, self.name)
        columns: dict[str, list[Any]] = {
            f"{one.label}, {one.unit.symbol}".rstrip(", "): [
                in_unit(v, one.unit) if isinstance(v, float) else v for v in self.values
            ]
        }
        for name in names or ("motion.end_stroke",):
            q = quantity(name)
            columns[q.heading] = [
                in_unit(v, q.unit) if isinstance(v, float) else v for v in self[name].tolist()
            ]
        rows = zip(*columns.values(), strict=True)
        return Table(tuple(dict(zip(columns, row, strict=True)) for row in rows))

    def __repr__(self) -> str:
        return f"Sweep({self.name}, {len(self)} values of {self.scenario.name!r})"

    def _repr_html_(self) -> str:
        return self.table()._repr_html_()


def sweep(scenario: Scenario, name: str, values: Iterable[Any]) -> Sweep:
    """Move one input of a scenario through values.

    Parameters
    ----------
    name : str
        Any input: by name with values in SI ("drive.frequency"), by path with values in its unit
        ("drive.frequency_khz"), or by short name with values in SI ("power").

    Raises
    ------
    BadInput
        For an unknown name or an impossible value.

    Examples
    --------
    >>> moved = sweep(Scenario.preset("straight, axial"), "drive.power_percent", [50, 100])
    >>> moved.table("motion.end_stroke")
    Power, %  Tip stroke, µm peak to peak
    50.0      45.0
    100       90.0
    """
    one = find_input(Scenario, name)
    scenarios = tuple(scenario.with_(**{name: value}) for value in values)
    return Sweep(scenario, one.name, tuple(one.of(s) for s in scenarios), scenarios)
