"""Whether a computed motion lies within what the linear model can be believed for."""

from decimal import Decimal

from tipsim.motion.annulus import stirred
from tipsim.motion.run import Motion
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import MPS, WATT, Unit

OF_GAP = Unit("% of the gap", "percent", Decimal("1e-2"))


@described()
class Ceiling:
    """One limit, and what the motion has of it."""

    name: str = about('"speed", "power" or "swing".')
    label: str = about("What it limits, as on screen.")
    value: float = about("What was computed, in SI.")
    limit: float = about("What it must not pass, in SI.")
    unit: Unit = about("In which both are shown.")

    @property
    def share(self) -> float:
        """Value over limit [no unit]."""
        return self.value / self.limit

    @property
    def passed(self) -> bool:
        """Whether the model is outside its range by it."""
        return not self.value <= self.limit

    @property
    def words(self) -> str:
        """Label, value and limit in words.

        >>> Ceiling("speed", "tip speed", 66.4, 20.0, MPS).words
        'tip speed 66.4 m/s (limit 20 m/s)'
        """
        value, limit = self.unit.show(self.value, 3), self.unit.show(self.limit, 3)
        return f"{self.label} {value} (limit {limit})"


def ceilings(scenario: Scenario, motion: Motion) -> tuple[Ceiling, ...]:
    """Return all limits with what the motion has of each.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> bench = Scenario.preset("counter-bent, torsional")
    >>> [c.name for c in ceilings(bench, run(bench)) if c.passed]
    []
    """
    swing = float(stirred(scenario, motion.vibration).swing.max(initial=0.0))
    limits = scenario.ceilings
    return (
        Ceiling("speed", "tip speed", motion.end_speed, limits.speed, MPS),
        Ceiling("power", "power in", motion.power, limits.power, WATT),
        Ceiling("swing", "swing in the sleeve", swing, limits.swing, OF_GAP),
    )


def passed(scenario: Scenario, motion: Motion) -> tuple[Ceiling, ...]:
    """Return the limits that a motion passes; none for one that can be believed."""
    return tuple(c for c in ceilings(scenario, motion) if c.passed)


def sentence(over: tuple[Ceiling, ...], whose: str = "This motion") -> str:
    """Return one sentence that says what was passed; "" where nothing was.

    >>> sentence((Ceiling("speed", "tip speed", 66.4, 20.0, MPS),), "A's motion")
    "A's motion is outside the range of the linear model: tip speed 66.4 m/s (limit 20 m/s)."
    """
    if not over:
        return ""
    listed = ", ".join(c.words for c in over)
    return f"{whose} is outside the range of the linear model: {listed}."
