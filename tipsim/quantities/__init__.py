"""Every output, declared once: command line, JSON, readouts, tables, lessons and CSV read it here.

To add an output, add one `Quantity` to the tuple of its part. The port speed of the flow took

.. code-block:: diff

    +    Quantity(
    +        "flow.port_speed", "", "Jets at the sleeve ports", lambda r: r.flow.port_speed,
    +        "Mean speed in the two ports; the jets slow down as they spread.", unit=MPS,
    +    ),

and is then `result["flow.port_speed"]`, a line of `result.table()`, a row that a page may name,
and, with a key in place of the empty one, a value of the JSON and a path for lessons.

Examples
--------
>>> quantity("motion.end_stroke").heading
'Tip stroke, µm peak to peak'
>>> quantity("motion.end_strok")
Traceback (most recent call last):
tipsim.setup.errors.BadInput: quantity is "motion.end_strok"; allowed: a name such as \
motion.end_stroke (nearest: "motion.end_stroke").
"""

from typing import Any

from tipsim.quantities.declare import Computed, Quantity, band_dict, figures, rounded
from tipsim.quantities.endoscope import ENDOSCOPE
from tipsim.quantities.flow import FLOW
from tipsim.quantities.heat import HEAT
from tipsim.quantities.limits import CAVITATION, LIMITS
from tipsim.quantities.motion import MOTION, SENSITIVITY, STRESS
from tipsim.quantities.thermogram import THERMOGRAM
from tipsim.quantities.tissue import CUTTING, IRIS, WOUND
from tipsim.setup.errors import BadInput, nearest

__all__ = ["PARTS", "QUANTITIES", "Quantity", "band_dict", "figures", "quantity", "rounded"]

_PARTS = (
    *(MOTION, LIMITS, CAVITATION, STRESS, SENSITIVITY, HEAT, THERMOGRAM),
    *(FLOW, IRIS, CUTTING, WOUND),
    ENDOSCOPE,
)
QUANTITIES: dict[str, Quantity] = {q.name: q for part in _PARTS for q in part}
"""Every output by name, in the order of the JSON."""
PARTS = tuple(dict.fromkeys(q.part for q in QUANTITIES.values()))
"""Parts of the JSON; each can be had without the others."""


def quantity(name: str) -> Quantity:
    """Return an output's declaration.

    Raises
    ------
    BadInput
        For an unknown name, with the nearest known one.
    """
    if name not in QUANTITIES:
        known = nearest(name, QUANTITIES)
        raise BadInput("quantity", f'"{name}"', f"a name such as motion.end_stroke{known}")
    return QUANTITIES[name]


def plain(result: Computed, part: str) -> dict[str, Any]:
    """Return a part of a result as plain data for JSON: units in the keys, six digits."""
    out: dict[str, Any] = {}
    for q in QUANTITIES.values():
        if q.part != part or not q.key or "[" in q.key:
            continue
        table, _, key = q.key.rpartition(".")
        place = out.setdefault(table, {}) if table else out
        place[key] = q.plain(q.get(result))
    return {k: None if _empty(v) else v for k, v in out.items()}


def _empty(value: Any) -> bool:
    """Return whether a table has no value at all, such as that of a load where none presses."""
    return isinstance(value, dict) and all(v is None for v in value.values())
