"""Up to where the model is believed: what it must not pass, and when bubbles are likely."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, sourced


@dataclass(frozen=True)
class Ceilings(Declared):
    """Limits of the linear model of motion, and of fluid without bubbles.

    They change no motion: they say from where on a computed one is not to be believed.
    """

    speed: float = sourced(
        "published.top_speed", span=(1, 100), label="Highest tip speed that is believed"
    )
    power: float = sourced(
        "limits.power", span=(1, 200), label="Most power that a handpiece can put in"
    )
    swing: float = sourced(
        "limits.swing", span=(5, 100), label="Largest swing inside the sleeve, share of the gap"
    )
    pressure: float = sourced(
        "cavitation.ambient", span=(50, 400), label="Static pressure of the fluid"
    )
    tension: float = sourced(
        "cavitation.tension", span=(0, 2000), label="Tension that the fluid bears before it bubbles"
    )
