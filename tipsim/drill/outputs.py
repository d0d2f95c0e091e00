"""What a drill's curves hold: name, label, unit, and whether a team can see or hear it."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.units import (
    CELSIUS,
    CM,
    GRAM,
    ML,
    ML_MIN,
    MM,
    MMHG,
    ONE,
    PER_S,
    PERCENT,
    SECOND,
    Unit,
)


@dataclass(frozen=True)
class Output:
    """One curve of a drill; SI inside."""

    name: str
    label: str
    unit: Unit
    seen: bool

    @property
    def key(self) -> str:
        """Name in a file, with the unit."""
        return f"{self.name}_{self.unit.suffix}" if self.unit.suffix else self.name


_ALL = (
    Output("time", "Time", SECOND, True),
    Output("pedal", "Pedal (0 rest to 3 ultrasound, -1 reflux)", ONE, True),
    Output("ultrasound", "Ultrasound power", PERCENT, True),
    Output("power", "Power set on the panel", PERCENT, True),
    Output("limit", "Vacuum limit", MMHG, True),
    Output("height", "Bottle above the eye", CM, True),
    Output("depth", "Chamber depth", MM, True),
    Output("pressure", "Chamber pressure", MMHG, False),
    Output("vacuum", "Vacuum", MMHG, True),
    Output("irrigation", "Irrigation", ML_MIN, False),
    Output("drops", "Drops in the drip chamber", PER_S, True),
    Output("bottle", "Fluid in the bottle", ML, True),
    Output("aspiration", "Aspiration through the needle", ML_MIN, False),
    Output("leak", "Leak through the incision", ML_MIN, True),
    Output("covered", "Opening covered by fragment or iris", PERCENT, True),
    Output("iris", "Iris at the opening (0 or 1)", ONE, True),
    Output("plug", "Viscoelastic in the needle (0 or 1)", ONE, False),
    Output("load", "Load on the sleeve", GRAM, True),
    Output("fragment", "Fragment left", PERCENT, True),
    Output("sleeve", "Sleeve, warmest", CELSIUS, False),
    Output("wound", "Incision, warmest", CELSIUS, False),
    Output("dose", "Heat dose of the incision, equivalent time at 43 °C", SECOND, False),
    Output("spent", "Ultrasound time, counted by power", SECOND, True),
)
OUTPUTS: Mapping[str, Output] = MappingProxyType({o.key: o for o in _ALL})
"""Every curve by its name in files."""
NAMES: Mapping[str, Output] = MappingProxyType({o.name: o for o in _ALL})
"""Every curve by its name in the code."""


def output(key: str, place: str) -> Output:
    """Return a curve by its name in files.

    Raises
    ------
    BadInput
        For an unknown name, with the nearest one.

    Examples
    --------
    >>> output("depth_mm", "sign").label
    'Chamber depth'
    """
    if key not in OUTPUTS:
        raise BadInput(place, f'"{key}"', f"a curve of the drill{nearest(key, OUTPUTS)}")
    return OUTPUTS[key]
