"""What happens on the bench, and when."""

from dataclasses import dataclass

from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, choice, quantity
from tipsim.setup.units import GRAM, ML_MIN, MM, PERCENT, SECOND

EVENTS = (
    "drive on",
    "drive off",
    "occlusion",
    "flow lost",
    "flow back",
    "load",
    "load off",
    "power",
    "viscoelastic cleared",
)


@dataclass(frozen=True)
class Event(Declared):
    """One thing that happens.

    "occlusion" and "power" need a share; "load" takes force and place, absent: as the bench has
    them; "flow lost" takes the leak that is left, absent: none.
    """

    time: float = quantity(SECOND, 0, 600, "when it happens", label="Time", slider=(0, 120, 1))
    what: str = choice(EVENTS, "what happens")
    share: float | None = quantity(
        PERCENT,
        0,
        100,
        "occluded share of the opening, or power",
        default=None,
        label="Share",
        slider=(0, 100, 5),
    )
    force: float | None = quantity(
        GRAM,
        0,
        200,
        "load on the sleeve, as a weight",
        default=None,
        label="Load on the sleeve",
        slider=(0, 100, 5),
    )
    place: float | None = quantity(
        MM,
        1,
        15,
        "distance of the load from the tip",
        default=None,
        slider=(1, 15, 0.5),
    )
    flow: float | None = quantity(
        ML_MIN,
        0,
        60,
        "leak that is left",
        default=None,
        slider=(0, 20, 0.5),
    )

    def __post_init__(self) -> None:
        """Check the numbers and that the event says what it needs."""
        super().__post_init__()
        if self.what in ("occlusion", "power") and self.share is None:
            raise BadInput("share_percent", "missing", f'a number for "{self.what}", 0 to 100 %')
