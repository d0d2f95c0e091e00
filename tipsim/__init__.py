"""tipsim: how an ultrasonic cataract needle moves, heats and touches tissue; a teaching model.

It is a model, not a patient, and teaching, not advice.

>>> import tipsim
>>> scenario = tipsim.preset("counter-bent, torsional").with_(power=0.5)
>>> result = tipsim.solve(scenario)
>>> result.text("motion.end_stroke")
'89.2 µm peak to peak'
>>> tipsim.sweep(scenario, "drive.frequency", [31e3, 32e3])["motion.end_stroke"].shape
(2,)
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result, compare, solve

if TYPE_CHECKING:
    from tipsim.app.notebook import show
    from tipsim.citation import cite
    from tipsim.sweeps import Sweep, sweep

__version__ = "0.1.0"
__all__ = [
    "BadInput", "Needle", "Piece", "Result", "Scenario", "Sweep", "cite", "compare", "preset",
    "show", "solve", "sweep",
]  # fmt: skip

_LATER = {
    "show": "tipsim.app.notebook",
    "cite": "tipsim.citation",
    "Sweep": "tipsim.sweeps",
    "sweep": "tipsim.sweeps",
}
"""What is loaded when it is first asked for: screens above all."""


def __getattr__(name: str) -> Any:
    if name in _LATER:
        return getattr(import_module(_LATER[name]), name)
    raise AttributeError(f"module 'tipsim' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *_LATER})
