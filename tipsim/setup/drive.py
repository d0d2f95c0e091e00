"""What the handpiece does to the hub, and when."""

from dataclasses import dataclass
from typing import Self

from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, choice, quantity, sourced
from tipsim.setup.units import DEG, KHZ, MS, PERCENT, UM

KINDS = {
    "axial": "longitudinal (axial)",
    "torsional": "torsional",
    "elliptical": "combined (both)",
}
"""What the hub can do, and how the screen names it."""
HOLDS = ("motion", "power")
DUTIES = ("continuous", "pulsed", "burst")


@dataclass(frozen=True)
class Drive(Declared):
    """Motion that the handpiece imposes on the hub.

    "elliptical" is axial and torsional at once. The axial stroke moves nothing under a torsional
    drive, the twist nothing under an axial one; the phase is for elliptical only. The hub keeps
    its "motion" (regulated) or its "power" (unregulated) when something presses on the needle.
    """

    kind: str = choice(tuple(KINDS), "what the hub does", label="Hub motion", said=KINDS)
    frequency: float = quantity(
        KHZ,
        10,
        100,
        "frequency of the drive",
        label="Frequency",
        slider=(20, 60, 0.1),
        short="frequency",
    )
    axial_stroke: float = quantity(
        UM,
        0,
        300,
        "longitudinal (axial) stroke of the hub at 100 % power, peak to peak",
        label="Stroke at the hub at 100 % power",
        slider=(0, 120, 0.5),
    )
    twist_stroke: float = quantity(
        DEG,
        0,
        20,
        "twist of the hub at 100 % power, peak to peak",
        label="Twist at the hub at 100 % power",
        slider=(0, 12, 0.1),
    )
    phase: float = quantity(
        DEG,
        -180,
        180,
        "by how much the twist is ahead of the longitudinal (axial) motion",
        default=0.0,
        label="Twist ahead of axial motion",
        slider=(-180, 180, 5),
        short="phase",
    )
    power: float = quantity(
        PERCENT,
        0,
        100,
        "share of full stroke; stroke grows in proportion, which is assumed and no machine's scale",
        default=1.0,
        label="Power",
        slider=(0, 100, 5),
        short="power",
    )
    holds: str = choice(
        HOLDS,
        "what the handpiece keeps under load",
        default="motion",
        label="Under load the hub keeps",
        short="holds",
        said={"motion": "its motion", "power": "its power"},
    )

    hub_time: float = sourced(
        "drive.hub_time",
        "time constant with which the hub's motion rises and falls",
        span=(0.01, 10),
        label="Rise time of the hub",
        slider=(0.1, 3, 0.05),
    )

    @property
    def title(self) -> str:
        """What the hub does, in words."""
        return KINDS[self.kind]

    @property
    def has_axial(self) -> bool:
        """Whether the hub moves along its axis."""
        return self.kind != "torsional"

    @property
    def has_twist(self) -> bool:
        """Whether the hub turns."""
        return self.kind != "axial"


@dataclass(frozen=True)
class Duty(Declared):
    """When the drive is on.

    "pulsed" is an even train of pulses, "burst" fixed pulses with longer rests; a continuous drive
    has no rest.

    Examples
    --------
    >>> Duty.pulsed(rate=50, on_fraction=0.4).on_time
    0.008
    """

    kind: str = choice(
        DUTIES,
        "when the drive is on",
        default="continuous",
        short="duty",
    )
    on_time: float = quantity(
        MS, 1, 5000, "length of a pulse", default=1.0, label="Pulse", slider=(1, 200, 1)
    )
    off_time: float = quantity(
        MS, 0, 5000, "rest after a pulse", default=0.0, label="Rest", slider=(0, 500, 1)
    )

    def __post_init__(self) -> None:
        """Check the numbers."""
        super().__post_init__()
        if self.kind == "continuous" and self.off_time:
            raise BadInput("off_time_ms", MS.show(self.off_time), "0 for a continuous drive")

    @classmethod
    def pulsed(cls, rate: float, on_fraction: float) -> Self:
        """Build a train of pulses: rate [1/s], share of time that is on (0 to 1).

        Raises
        ------
        BadInput
            For a rate that is not above 0, or pulses out of range.
        """
        if not rate > 0:
            raise BadInput("rate", f"{rate:g} /s", "a number above 0")
        return cls("pulsed", on_fraction / rate, (1 - on_fraction) / rate)

    @property
    def on_fraction(self) -> float:
        """Share of time that the drive is on [no unit]."""
        return self.on_time / (self.on_time + self.off_time)

    def is_on(self, time: float) -> bool:
        """Return whether the drive is on at a time from the first pulse on [s].

        >>> Duty("pulsed", 0.1, 0.3).is_on(0.45), Duty("pulsed", 0.1, 0.3).is_on(0.55)
        (True, False)
        """
        return time % (self.on_time + self.off_time) < self.on_time
