"""The stage: two needles side by side in slow motion, drawn in the browser on its own clock.

The server sends one packet (`packet.stage_packet`) per change and nothing while it moves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, ClassVar

import param

from tipsim import store
from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.state import PageState, changed_own, switch
from tipsim.setup.checks import check
from tipsim.setup.fields import choice, part, quantity
from tipsim.setup.units import ONE
from tipsim.solve import Result

_HERE = Path(__file__).parent


@dataclass(frozen=True)
class Look:
    """How the stage is looked at; angles in degrees, as in links.

    Examples
    --------
    >>> Look.of({"camera": "edge", "play": "0"}).shown["play"]
    False
    """

    camera: str = choice(("free", "flat", "edge", "end"), "where the eye stands", "free")
    yaw: float = quantity(ONE, -180, 180, "turn about the upright of the screen [°]", 28.0)
    pitch: float = quantity(ONE, -180, 180, "roll about the needle's long axis [°]", 42.0)
    zoom: str = choice(("whole", "end"), "how much is seen", "whole")
    play: bool = switch("the needles move", True)
    phase_deg: float = quantity(ONE, 0, 360, "phase at which they stand still [°]", 0.0)
    speed: float = quantity(ONE, 0.1, 2, "cycles per second on the screen", 0.5)
    exaggeration: float = quantity(ONE, 1, 40, "how many times too large motion is drawn", 12.0)
    trails: bool = switch("paths of the markers", True)
    envelope: bool = switch("swept area", True)
    nodes_shown: bool = switch("still points", True)
    sleeve_shown: bool = switch("sleeve")
    twist_lines: bool = switch("twist lines", True)
    arrows: bool = switch("velocity arrows")
    rigid_shown: bool = switch("outline of the needle as if it were rigid")

    def __post_init__(self) -> None:
        """Check the fields."""
        check(self)

    @classmethod
    def of(cls, items: Mapping[str, str]) -> Look:
        """Read a look from items of a link without their "view.".

        Raises
        ------
        BadInput
            Naming the item, its value and what is allowed.
        """
        look = cls()
        for name, text in items.items():
            look = changed_own(look, name, text)
        return look

    @property
    def shown(self) -> dict[str, Any]:
        """The look as the browser takes it."""
        return asdict(self)


@dataclass(frozen=True)
class StageState(PageState):
    """What a page with a stage is set to: both needles, and how they are looked at.

    Attributes
    ----------
    look : Look
    """

    look: Look = part(Look, "how the stage is looked at", Look())

    LOOKS: ClassVar[tuple[str, ...]] = ("look",)
    SHOWN: ClassVar[tuple[str, ...]] = ("look.",)

    @property
    def results(self) -> tuple[Result, Result]:
        """Results of A and B."""
        return store.result(self.bench.a), store.result(self.bench.b)


class Stage(Part):
    """Two needles in slow motion.

    The browser sends a change of the look as ``look.camera`` and so on, shortly after the person
    has come to rest, never while it only plays.
    """

    packet = param.Bytes(default=b"", doc="Both needles and their motion, from `stage_packet`.")
    look = param.Dict(default=Look().shown, doc="How it is looked at; see `Look`.")

    _esm: ClassVar[str] = script(_HERE / "stage.js")
    _stylesheets: ClassVar[list[str]] = styles(_HERE / "stage.css")
